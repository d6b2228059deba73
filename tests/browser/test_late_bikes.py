"""A day on which six booked bikes come 11 to 15 minutes before they roll, on the screens alone.

Safety is first in every round, no offer outweighs it, and a bike that rolled unchecked is said
so until it is checked. What is typed on a bike's sheet does its tasks. The reason of a change
is what was read of that end, on the customer's page and on the invoice.
"""

import re
from datetime import timedelta

import pytest
from django.urls import reverse
from playwright.sync_api import Locator, Page, expect

from jobs.billing.models import Document
from jobs.garage.enums import Function
from jobs.garage.models import Adjuster
from jobs.outbox.worker import drain
from jobs.people.models import Customer
from jobs.setups.models import Adjustment
from jobs.trackday.models import Entry
from jobs.worklist.enums import TaskState
from jobs.worklist.models import DayPlan, TaskMark
from tests.acts.doing import clock_set, task_now
from tests.conftest import PASSWORD
from tests.days import local
from tests.worklist.late_bikes import MINUTES_BEFORE, ROLL, late_day

from .at_work import number_for

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

CHECK = "Arrival safety"
RUNS_WIDE = "runs wide when I open the gas"


def posted(page: Page, button: Locator) -> None:
    """Tap a button of the round; the answer has come."""
    page.evaluate("sessionStorage.removeItem('act-tap')")  # a tap of its own, no bounce
    with page.expect_response(lambda answer: "/rounds/tick/" in answer.url) as sent:
        button.click()
    assert sent.value.status == 200
    expect(page.locator(".htmx-request")).to_have_count(0)


def tasks_of_round(page: Page) -> list[str]:
    """The names of the tasks of a round, the one in hand first."""
    page.goto("/round/")
    in_hand = page.locator("form.hand .task b").first.inner_text()
    return [in_hand, *page.locator("#then > ul.stack a.task b:not(.number)").all_inner_texts()]


@pytest.fixture
def day(cast, prices):
    day = late_day(cast)
    address = {"street": "3 Tannery Row", "postcode": "D99 A101", "city": "Ballyreen"}
    Customer.objects.filter(pk__in=[e.payer_id for e in day.entries]).update(**address)
    return day


@pytest.fixture
def tuner(cast, person):
    return person("tuner", PASSWORD, size="laptop")


@pytest.fixture
def helper(cast, person):
    return person("helper", PASSWORD, size="tablet")


def test_a_day_of_late_bikes_from_safety_to_the_invoice(day, tuner, helper, person):
    all_come(day, helper)
    safety_comes_first(day, tuner, helper)
    for page in (helper, tuner, helper, tuner):
        assert tasks_of_round(page)[0] == CHECK
        posted(page, page.get_by_role("button", name="All others pass: done", exact=True))
    assert TaskMark.objects.filter(item__code="safety", mark="done").count() == 4
    rolled = [e for e in day.entries if task_now(e, "safety").state != TaskState.DONE]
    entry = next(e for e in day.entries if e not in rolled)
    entered_on_the_sheet(helper, entry)
    out_without_the_check(day, tuner, helper, rolled)
    read_hot_on_the_sheet(helper, entry)
    reason = changed_for_what_was_read(tuner, entry)
    told_to_the_customer(day, entry, tuner, person(size="phone"), reason)


def all_come(day, helper: Page) -> None:
    for entry, minutes in zip(day.entries, MINUTES_BEFORE, strict=True):
        clock_set(day.trackday, ROLL - timedelta(minutes=minutes))
        helper.goto("/round/")
        posted(helper, helper.locator(f"button.plated[value='{entry.pk}']"))


def safety_comes_first(day, tuner: Page, helper: Page) -> None:
    """In both rounds, on the board and in every plan: an offer that is taken keeps it so."""
    for page in (tuner, helper):
        tasks = tasks_of_round(page)
        assert tasks[0] == CHECK
        assert "Pre-grid check" not in tasks
    tuner.goto(f"/day/{day.trackday.pk}/")
    assert tuner.locator("ol.first b:not(.number)").all_inner_texts() == [CHECK] * 3
    planned = checks_planned(day)
    assert len(planned) == 4
    drain()  # search on, look for the best of the rest, offer it
    offer = DayPlan.objects.get().offer
    assert offer is None or not checks(day) & set(offer["loses"])
    tuner.reload()
    if offer:
        tuner.get_by_role("button", name="Take it").click()
        expect(tuner.get_by_text("A better round is ready.")).to_have_count(0)
    assert len(checks_planned(day)) == 4


def entered_on_the_sheet(helper: Page, entry: Entry) -> None:
    """Pressures and the count, typed on the bike's sheet, are asked for nowhere else."""
    helper.goto(reverse("board:sheet-read", args=[entry.pk, "pressure"]))
    for end, psi in (("front", "30"), ("rear", "29.5")):
        helper.locator(f"input[name={end}-pressure]").fill(psi)
    kept(helper)
    helper.goto(reverse("board:sheet-baseline", args=[entry.pk]))
    for cell in helper.locator("input[name^='at-']").all():
        cell.fill("10")
    helper.get_by_role("button", name="Counted", exact=True).click()
    expect(helper.locator("#notices")).not_to_be_empty()
    done = [task_now(entry, code).state for code in ("cold-pressures", "count")]
    assert done == [TaskState.DONE] * 2


def out_without_the_check(day, tuner: Page, helper: Page, rolled: list[Entry]) -> None:
    """Said loudly while they are out, and until the check is made after the session."""
    board = f"/day/{day.trackday.pk}/"
    clock_set(day.trackday, ROLL + timedelta(minutes=4))
    for page, address in ((tuner, board), (helper, "/round/")):
        page.goto(address)
        expect(page.locator(".alert.stops")).to_have_text(
            [re.compile(rf"{e.number} A is out without its arrival safety check") for e in rolled]
        )
    tuner.goto(board)
    assert tuner.locator("[data-state=out].stopword").all_inner_texts() == ["out, not checked"] * 2
    clock_set(day.trackday, ROLL + timedelta(minutes=21))
    for page, entry in zip((helper, tuner), rolled, strict=True):
        page.goto(f"{board}bikes/{entry.pk}/")
        page.get_by_role("link", name=CHECK).first.click()
        posted(page, page.get_by_role("button", name="All others pass: done", exact=True))
    helper.goto("/round/")
    expect(helper.locator(".alert.stops")).to_have_count(0)


def read_hot_on_the_sheet(helper: Page, entry: Entry) -> None:
    """The rider's words and a hot push of both ends; each does its task of this stop."""
    session = entry.group.sessions.get(number=1).pk
    helper.goto(reverse("board:see", args=[entry.pk]) + "?end=bike&at=exit")
    helper.get_by_text("In words, and at which corner").click()
    helper.fill("#words", RUNS_WIDE)
    helper.get_by_text("The rider's own words").click()
    helper.get_by_role("button", name="Only the words", exact=True).click()
    helper.wait_for_url("**/advice/")
    helper.goto(reverse("board:sheet-read", args=[entry.pk, "push"]))
    for end, word in (("front", "slow"), ("rear", "right")):
        helper.locator(f"label:has(input[name={end}-comes_up][value={word}])").click()
        helper.locator(f"label:has(input[name={end}-swings][value='0'])").click()
    kept(helper)
    done = [task_now(entry, code, session).state for code in ("words", "hot-push")]
    assert done == [TaskState.DONE] * 2


def changed_for_what_was_read(tuner: Page, entry: Entry) -> str:
    """The panel has the push tapped as the reason, and offers the rider's words."""
    rebound = Adjuster.objects.get(bike=entry.bike_id, end="front", function=Function.REBOUND)
    tuner.goto(reverse("board:sheet-change", args=[entry.pk, rebound.pk]))
    expect(tuner.locator(".reasons label", has_text=RUNS_WIDE)).to_have_count(1)
    why = tuner.locator("input[name=why]:checked")
    expect(why).to_have_count(1)
    reason = (why.get_attribute("value") or "").partition(": ")[2]
    assert "comes up slowly" in reason
    tuner.locator("label.pick:has-text('+2')").first.click()
    tuner.wait_for_selector("#preview >> text=2 clicks")
    tuner.locator("button:visible:has-text('Changed, read back')").click()
    expect(tuner.locator("#notices")).to_contain_text("Front rebound")
    assert Adjustment.objects.get(kind="change").reason == reason
    return reason


def told_to_the_customer(day, entry: Entry, office: Page, own: Page, reason: str) -> None:
    """Evening: handed over, invoiced, and the customer's link opened on a phone."""
    clock_set(day.trackday, local(17, 10))
    for task in ("Clickers against the record", "Hand-over"):
        office.goto(f"/day/{day.trackday.pk}/bikes/{entry.pk}/")
        office.get_by_role("link", name=task).click()
        for cell in office.locator("form.hand .cell input:visible").all():
            cell.fill(number_for(cell.get_attribute("name") or ""))
        ends = "rest passes" if task == "Hand-over" else "tick"
        posted(office, office.locator(f"form.hand [name=how][value='{ends}']"))
    office.goto(f"/desk/money/days/{day.trackday.pk}/")
    office.get_by_role("button", name="Issue the day's invoices").click()
    expect(office.locator("#notices")).to_contain_text("1 invoice issued.")
    invoice = Document.objects.get(customer=entry.payer_id)
    office.goto(f"/desk/customers/{entry.payer_id}/")
    office.get_by_role("button", name="Make a link").click()
    notice = office.locator("#notices")
    expect(notice).to_contain_text("Hand this link over yourself")
    own.goto(re.search(r"/my/\S+", notice.inner_text())[0])
    own.get_by_role("button", name="Open my pages").click()
    own.wait_for_url("**/my/bikes/**")
    own.goto(reverse("portal:day", args=[entry.pk]))
    story = own.locator("ol.stories")
    expect(story).to_contain_text(f"{reason[:1].upper()}{reason[1:]}.")
    expect(story).not_to_contain_text(RUNS_WIDE)
    own.goto(reverse("portal:document", args=[invoice.pk]))
    expect(own.locator("main")).to_contain_text(f"clicks out from closed: {reason}")
    expect(own.locator("main")).not_to_contain_text(RUNS_WIDE)


def kept(page: Page) -> None:
    """The main button of a reading's form; the act was accepted."""
    page.locator("form.reading button.main").click()
    expect(page.locator("#notices")).not_to_be_empty()


def checks(day) -> set[str]:
    return {str(task_now(entry, "safety").id) for entry in day.entries}


def checks_planned(day) -> set[str]:
    return checks(day) & DayPlan.objects.get().slots.keys()
