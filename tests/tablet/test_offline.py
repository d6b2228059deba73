"""The tablet without network, in Chromium, with the wire really cut."""

import io
import json
import re

import pytest
from PIL import Image
from playwright.sync_api import expect

from jobs.acts.models import Act
from jobs.setups.models import Adjustment, BikePhoto
from jobs.trackday.enums import Move
from jobs.trackday.models import BikeMove, CrewDay
from jobs.worklist.enums import Mark
from jobs.worklist.models import TaskMark
from jobs.worklist.selectors import day_read
from jobs.worklist.services import checklists_load, day_checklists_keep
from tests.days import local
from tests.outbox.processes import until
from tests.setups.writing import count, rear_rebound
from tests.shape.source import ROOT

from .conftest import held

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.django_db(transaction=True),
]


@pytest.fixture
def entry(tablet, day, cast):
    """A bike whose sheet the helper has seen on the tablet."""
    tablet.sign_in(cast.helper)
    tablet.keep_pages(f"/bikes/{day.entries[0].pk}/")
    return day.entries[0]


@pytest.fixture
def work(day, cast) -> None:
    """The default checklists, on bikes that have arrived."""
    checklists_load(lists=json.loads((ROOT / "fixtures" / "checklists.json").read_text()))
    day_checklists_keep(trackday=day.trackday)
    for entry in day.entries:
        BikeMove.objects.create(entry=entry, move=Move.ARRIVED, at=local(8), by=cast.helper)


def done_all(day, by) -> None:
    """Everything asked of every bike up to now is done."""
    for bike in day_read(day.trackday).bikes:
        for task in bike.tasks:
            TaskMark.objects.create(
                task_id=task.id, entry=task.entry, session_id=task.session_id, item=task.item,
                mark=Mark.DONE, points={point["code"]: "pass" for point in task.item.points},
                by=by, done_at=local(8),
            )  # fmt: skip


def test_it_says_how_old_the_page_is_and_no_bike_has_nothing_open(tablet, day, cast, work):
    done_all(day, cast.helper)
    tablet.sign_in(cast.tuner)
    tablet.keep_pages("/day/")
    states = tablet.page.locator('[data-state="nothing_open"]')
    expect(states).to_have_text(["nothing open"] * 3)
    tablet.wire.cut()
    tablet.page.reload()
    expect(tablet.page.locator(".age")).to_have_text(
        re.compile(r"^No network\. As of \d\d:\d\d, later holds unknown\.$")
    )
    expect(states).to_have_text([re.compile(r"^as of \d\d:\d\d$")] * 3)


def test_what_is_entered_shows_at_once_and_is_sent_in_order_with_progress(tablet, entry):
    tablet.wire.cut()
    words = ["fork seal wet", "pad thin", "nut loose", "chain slack"]
    for n, word in enumerate(words, 1):
        tablet.hold_offline(entry, word)
        expect(tablet.page.locator(".tabletbar")).to_contain_text(f"{n} unsent")
    rows = tablet.page.locator(".tabletrows li")
    expect(rows).to_have_count(4)
    expect(rows.last).to_contain_text("chain slack")
    expect(rows.last).to_contain_text("on this tablet")
    assert Act.objects.count() == 0
    tablet.run(
        """() => new MutationObserver(() => sessionStorage.setItem("seen",
             (sessionStorage.getItem("seen") ?? "") + document.querySelector(".tabletbar").innerText
           )).observe(document.querySelector(".tabletbar"), { subtree: true, childList: true })"""
    )
    tablet.wire.mend()
    tablet.wait_sent()
    assert tablet.kept() == []
    assert held() == words
    seen = tablet.run("() => sessionStorage.getItem('seen')")
    assert [f"sending {n} of 4" in seen for n in (1, 2, 3, 4)] == [True] * 4
    assert list(Act.objects.order_by("device_seq").values_list("device_seq", flat=True)) == [
        1,
        2,
        3,
        4,
    ]
    expect(tablet.page.locator(".tabletbar")).to_contain_text("0 unsent")
    expect(tablet.page.locator("section.stops")).to_have_count(4)  # shown as it now stands


def test_tasks_of_a_round_are_ticked_without_network(tablet, day, cast, work):
    CrewDay.objects.filter(user=cast.tuner).delete()  # alone, the helper has it all on his round
    tablet.sign_in(cast.helper)
    tablet.keep_pages("/round/")
    tablet.wait_day_kept()
    tablet.open("/round/")
    done = tablet.page.locator("#hand .thumb button.main")
    done.wait_for()
    tablet.wire.cut()
    for n in (1, 2):
        done.click()
        expect(tablet.page.locator(".tabletbar")).to_contain_text(f"{n} unsent")
        expect(tablet.page.locator("#then [data-kept]")).to_have_count(n)
        expect(tablet.page.locator("#hand [name=act_id]")).to_have_value("")
    tablet.wire.mend()
    tablet.wait_sent()
    assert TaskMark.objects.values("item", "entry").distinct().count() == 2


def jpeg() -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (400, 300), "grey").save(file, "JPEG")
    return file.getvalue()


def test_a_photo_waits_too(tablet, entry):
    path = f"/bikes/{entry.pk}/photos/"
    tablet.keep_pages(path)
    tablet.wire.cut()
    tablet.page.set_input_files(
        "#photo", {"name": "wear.jpg", "mimeType": "image/jpeg", "buffer": jpeg()}
    )
    tablet.page.locator("form input[name=subject]").first.check(force=True)
    tablet.page.get_by_role("button", name="Keep the photo").click()
    tablet.page.get_by_text("Kept on this tablet").wait_for()
    tablet.page.reload()
    expect(tablet.page.locator(".tabletrows li")).to_have_count(1)
    tablet.wire.mend()
    tablet.wait_sent()
    assert tablet.kept() == []
    assert BikePhoto.objects.count() == 1
    assert BikePhoto.objects.get().photo.width > 0


def test_a_closed_page_loses_nothing(tablet, entry):
    tablet.wire.cut()
    tablet.hold_offline(entry, "closed at once")
    tablet.page.close()
    tablet.wire.mend()
    tablet.page = tablet.context.new_page()
    tablet.open(f"/bikes/{entry.pk}/")
    tablet.wait_sent()
    assert held() == ["closed at once"]


def test_a_session_that_ran_out_is_not_needed_with_a_pass(tablet, entry):
    tablet.wire.cut()
    tablet.hold_offline(entry, "session gone")
    tablet.context.clear_cookies(name="sessionid")
    tablet.wire.mend()
    tablet.wait_sent()
    assert held() == ["session gone"]


def test_without_a_good_pass_it_waits_for_its_author_to_sign_in(tablet, entry, cast):
    tablet.wire.cut()
    tablet.hold_offline(entry, "waits for Hal")
    tablet.context.clear_cookies(name="sessionid")
    tablet.new_pin(cast.helper, "5823")  # passes given under the old one are void
    tablet.wire.mend()
    expect(tablet.page.locator(".tabletbar")).to_contain_text(
        "1 unsent: Hal must sign in first", timeout=40_000
    )
    assert Act.objects.count() == 0
    tablet.sign_in(cast.helper)
    tablet.wait_sent()
    assert held() == ["waits for Hal"]
    assert Act.objects.get().by == cast.helper


def test_two_tabs_send_everything_once_and_in_order(tablet, day, entry):
    other = tablet.beside()
    other.open(f"/bikes/{entry.pk}/")
    tablet.wire.cut()
    for n in range(3):
        tablet.hold_offline(entry, f"first {n}")
        other.hold_offline(entry, f"second {n}")
    tablet.wire.mend()
    tablet.wait_sent()
    assert held() == [f"{which} {n}" for n in range(3) for which in ("first", "second")]
    assert Act.objects.count() == 6
    assert other.kept() == []


@pytest.mark.parametrize("lost", [1, 3])
def test_a_lost_answer_is_asked_for_again(tablet, entry, lost):
    """The server has committed; the tablet does not know it, and asks until it does."""
    tablet.wire.lose_answers(lost)
    tablet.hold(entry, "answer lost")
    until(lambda: Act.objects.count() == 1)
    tablet.wait_sent()
    until(lambda: tablet.kept() == [])
    assert held() == ["answer lost"]
    assert tablet.wire.answers_to_lose == 0


def test_a_request_that_broke_off_is_not_read_as_a_form_with_fields_missing(tablet, entry):
    tablet.wire.break_posts(100)  # as a form, which the browser tries again; then by the queue
    tablet.hold(entry, "broken off")
    until(lambda: any(b"X-Act-Id" in head for head in tablet.wire.broken))
    tablet.wire.break_posts(0)
    tablet.wait_sent()
    until(lambda: tablet.kept() == [])
    assert held() == ["broken off"]
    assert Act.objects.count() == 1


def test_an_answer_that_cannot_be_read_counts_as_no_network(tablet, entry):
    """It broke off, or somebody else gave it; the server is not blamed, and is asked again."""
    tablet.wire.cut()
    tablet.hold_offline(entry, "asked again")
    tablet.wire.rewrite = (b'{"outcome"', b'<"outcome"')
    tablet.wire.mend()
    until(lambda: Act.objects.count() == 1)
    expect(tablet.page.locator(".tabletbar")).to_contain_text("No network")
    expect(tablet.page.locator(".tabletrows")).to_contain_text("sent, not answered yet")
    expect(tablet.page.locator(".tabletrows")).not_to_contain_text("could not take it")
    tablet.wire.rewrite = None
    tablet.wait_sent()
    assert held() == ["asked again"]


def test_a_dead_server_counts_as_no_network(tablet, entry, served):
    served.kill()
    tablet.hold_offline(entry, "server dead")
    tablet.page.reload()
    expect(tablet.page.locator(".tabletrows li")).to_have_count(1)
    served.start()
    tablet.wait_sent()
    assert held() == ["server dead"]


def test_an_upgrade_between_drops_neither_acts_nor_pages(tablet, entry):
    tablet.wire.cut()
    tablet.hold_offline(entry, "before the upgrade")
    tablet.wire.refuse_posts = True  # the new version arrives first
    version = tablet.upgrade()
    tablet.wire.cut()
    tablet.page.reload()
    expect(tablet.page.locator(".tabletrows li")).to_have_count(1)
    expect(tablet.page.locator("h1")).to_be_visible()
    assert tablet.run("() => document.styleSheets[0].cssRules.length > 0")
    tablet.wire.refuse_posts = False
    tablet.wire.mend()
    tablet.wait_sent()
    assert held() == ["before the upgrade"]
    tablet.run("() => navigator.serviceWorker.controller.postMessage('day kept')")
    until(lambda: tablet.run("() => caches.keys()") == [f"shell-{version}", f"day-{version}"])


def test_a_full_disk_is_said_at_once(tablet, entry):
    tablet.wire.cut()
    tablet.hold_offline(entry, "kept before")
    tablet.fill_disk()
    tablet.hold(entry, "one too many")
    expect(tablet.page.locator("#notices")).to_contain_text("memory is full: this was NOT kept")
    expect(tablet.page.locator("#hold-words")).to_have_value("one too many")
    assert len(tablet.kept()) == 1
    tablet.wire.mend()
    tablet.wait_sent()
    assert held() == ["kept before"]
    tablet.page.reload()
    tablet.hold(entry, "one too many")  # with network, nothing need be kept
    until(lambda: held() == ["kept before", "one too many"])


def test_each_act_keeps_its_author_when_the_tablet_changes_hands(tablet, entry, cast):
    tablet.sign_in(cast.tuner)
    tablet.keep_pages(f"/bikes/{entry.pk}/")
    tablet.wire.cut()
    tablet.hold_offline(entry, "by Tess")
    tablet.take_over(cast.helper)
    tablet.hold_offline(entry, "by Hal")
    expect(tablet.page.locator(".tabletrows li").last).to_contain_text("Hal")
    tablet.wire.mend()
    tablet.wait_sent()
    acts = Act.objects.order_by("device_seq").values_list("payload__words", "by__username")
    assert list(acts) == [("by Tess", "tuner"), ("by Hal", "helper")]


@pytest.fixture
def refused(tablet, entry):
    """A count past the adjuster's end, entered without network and refused afterwards."""
    tablet.keep_pages(f"/bikes/{entry.pk}/baseline/")
    tablet.wire.cut()
    tablet.page.locator(".counts input").first.fill("99")
    tablet.page.get_by_role("button", name="Counted").click()
    tablet.page.get_by_text("1 unsent").wait_for()
    tablet.wire.mend()
    tablet.page.get_by_text("1 refused").wait_for()
    tablet.page.reload()
    row = tablet.page.locator(".tabletrows li")
    expect(row).to_contain_text("99 is past its end")
    return row


def test_a_refused_act_stays_with_its_reason_until_amended(tablet, refused):
    refused.get_by_role("link", name="Amend").click()
    cell = tablet.page.locator(".counts input").first
    expect(cell).to_have_value("99")
    cell.fill("9")
    tablet.page.get_by_role("button", name="Counted").click()
    expect(tablet.page.locator("#notices")).to_contain_text("counted: 9 out")
    assert tablet.kept() == []
    assert Adjustment.objects.get().to_position == 9


def test_a_refused_act_stays_with_its_reason_until_taken_back(tablet, refused):
    refused.get_by_role("button", name="Take back").click()
    expect(tablet.page.locator(".tabletrows li")).to_have_count(0)
    assert tablet.kept() == []
    assert Act.objects.get().outcome == "refused"


def test_a_change_that_no_longer_fits_is_shown_as_unplaced(tablet, entry, cast):
    """Somebody moved the same adjuster meanwhile: kept, shown, and moved by nobody."""
    count(cast.tuner, entry, 14)
    tablet.sign_in(cast.tuner)
    rebound = rear_rebound(entry)
    tablet.keep_pages(f"/bikes/{entry.pk}/change/{rebound.pk}/")
    tablet.wire.cut()
    tablet.page.click("label.pick:has-text('−1')")
    tablet.page.click("button:has-text('Changed, read back')")
    tablet.page.get_by_text("1 unsent").wait_for()
    count(cast.tuner, entry, 20)
    tablet.wire.mend()
    tablet.wait_sent()
    tablet.open(f"/bikes/{entry.pk}/")
    expect(tablet.page.locator("main")).to_contain_text("It was done: place it")
    assert Adjustment.objects.get(kind="change").state == "unplaced"
