"""Three taps to a finding, and advice that can be followed, answered and overruled."""

import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from jobs.acts.models import Act
from jobs.advice.models import Answered, Overrule
from jobs.advice.selectors import outing_pace_compared
from jobs.garage.models import Adjuster
from jobs.setups.models import Adjustment, BikePhoto, Expectation, Finding
from jobs.tuning.evidence import JudgedExpectation, tally
from jobs.tuning.terms import Verdict
from jobs.worklist.models import Hold
from jobs.worklist.services import checklists_load
from tests.markup import one_line
from tests.photos import photos_prepare

from ..board.test_photos import upload
from ..queries import page_queries
from ..shape.source import ROOT

pytestmark = pytest.mark.django_db


def page(browser, story, name="advice", **query):
    answer = browser.get(reverse(f"board:{name}", args=[story.entry.pk]), query)
    return one_line(answer.content.decode())


def post(browser, story, kind, **data):
    url = reverse("board:advice-act", args=[story.entry.pk, kind])
    response = browser.post(url, data)
    assert response.status_code == 302
    assert Act.objects.order_by("-received_at").first().outcome == "applied"


def test_a_finding_takes_three_taps(browser, story):
    assert "?end=front" in page(browser, story, "see")
    assert "end=front&amp;at=mid" in page(browser, story, "see", end="front")
    last = page(browser, story, "see", end="front", at="mid")
    assert 'value="R5"' in last
    assert 'value="R1"' not in last
    url = reverse("board:see", args=[story.entry.pk])
    response = browser.post(url, {"code": "R5", "end": "front", "phase": "mid"})
    assert response.url == reverse("board:advice", args=[story.entry.pk])
    assert Finding.objects.get().code == "R5"


def test_a_stop_condition_seen_holds_the_bike_and_a_finding_alone_does_not(browser, story):
    url = reverse("board:see", args=[story.entry.pk])
    last = page(browser, story, "see", end="front", at="mid")
    assert 'value="R5: Loose caliper"' in last
    browser.post(url, {"code": "R5", "end": "front", "phase": "mid"})
    assert not Hold.objects.exists()
    browser.post(url, {"stop": "R5: Loose caliper", "end": "front", "phase": "mid"})
    held = Hold.objects.get()
    assert (held.words, held.entry, held.released_at) == ("Loose caliper", story.entry, None)
    assert [f.code for f in Finding.objects.all()] == ["R5", "R5"]
    assert "Held: Loose caliper" in page(browser, story)


def test_a_stop_condition_of_another_finding_is_refused_by_name(browser, story):
    url = reverse("board:see", args=[story.entry.pk])
    browser.post(url, {"stop": "R5: Loose wheel nut", "end": "front"})
    refused = Act.objects.order_by("-received_at").first()
    assert refused.outcome == "refused"
    assert "Loose wheel nut" in str(refused.answer)
    assert not Finding.objects.exists()
    assert not Hold.objects.exists()


def test_free_words_stay_verbatim(browser, story):
    url = reverse("board:see", args=[story.entry.pk])
    browser.post(url, {"code": "", "end": "front", "words": "it “pumps”  a bit", "by_rider": "1"})
    row = Finding.objects.get()
    assert (row.words, row.by_rider) == ("it “pumps”  a bit", True)


def test_advice_is_followed_with_its_expectation(browser, story):
    noted = story.found("B1")
    story.read("push", "front", "s", seconds=1.6)
    html = page(browser, story)
    assert "Front rebound softer" in html
    assert "no evidence yet" in html
    assert "Never force an end" in html
    move = story.plan().suggestion.moves[0]
    post(
        browser, story, "change", adjuster=move.key, **{"from": "10", "to": "13"},
        finding=noted.pk, expectation="push about a second", condition="once the track is warmer",
    )  # fmt: skip
    row = Adjustment.objects.get(kind="change")
    assert (row.to_position, row.read_back) == (13, 13)
    assert Expectation.objects.get().finding == noted
    assert Expectation.objects.get().condition == "once the track is warmer"
    assert "once the track is warmer" in page(browser, story)
    assert "not judged yet" in page(browser, story)


def test_answer_overrule_and_hold_are_one_tap(browser, story):
    story.found("R11")
    story.found("B1")
    story.read("push", "front", "s", seconds=1.6)
    post(browser, story, "answer", code="R11", suspect=2, yes="false")
    assert Answered.objects.get().yes is False
    post(
        browser, story, "overrule", code="B1", end="front", function="rebound",
        direction="softer", reason="likes it",
    )  # fmt: skip
    assert Overrule.objects.get().reason == "likes it"
    post(browser, story, "hold", words="The shake grows")
    assert Hold.objects.get().words == "The shake grows"
    assert "Held: The shake grows" in page(browser, story)


def test_why_nothing_is_offered_is_open_to_read_and_names_findings_in_words(browser, story):
    Adjuster.objects.filter(bike=story.entry.bike_id, end="front", function="rebound").update(
        usable=False
    )
    story.found("B1")
    story.read("push", "front", "s", seconds=1.6)
    html = page(browser, story)
    assert "<details open><summary>Not offered, and why" in html
    assert "<li>Slow return when hot: Front rebound (left) is broken: no change on it.</li>" in html


def test_nothing_says_safe_or_ready(browser, story):
    story.found("B6")
    html = page(browser, story).lower()
    assert not [word for word in (" safe ", "ready", "cleared") if word in html]


def test_the_page_asks_the_database_as_often_with_a_long_day(browser, story):
    url = reverse("board:advice", args=[story.entry.pk])
    story.found("B1")
    story.read("push", "front", "s", seconds=1.6)
    browser.get(url)
    few = page_queries(browser, url)
    assert few == 48
    for code in ("R5", "R7", "T1", "V2"):
        story.found(code)
        story.read("push", "rear", "s", seconds=1.0)
    assert page_queries(browser, url) == few


def test_the_evidence_page_says_what_to_do_while_empty(browser):
    html = one_line(browser.get(reverse("board:evidence")).content.decode())
    assert "Nothing was judged yet" in html


def test_the_evidence_page_tells_enough_from_too_little_and_names_what_stands_apart(
    browser, monkeypatch
):
    """Five seen of six, 0.436 to 0.970: Wilson's interval as scipy's binomtest has it."""

    def judged(verdict, bike, **more):
        return JudgedExpectation(
            "R13", "front", ("compression",), "softer", verdict, bike, 1, **more
        )

    rows = [judged(Verdict.SEEN, bike) for bike in range(5)]
    rows += [judged(Verdict.PARTLY, 5), judged(Verdict.NOT_TESTED, 6)]
    rows += [judged(Verdict.SEEN, 7, also_changed=("tyre",))]
    rows += [JudgedExpectation("R8", "rear", ("rebound",), "firmer", Verdict.NOT_SEEN, 8, 1)]
    monkeypatch.setattr("jobs.advice.selectors.evidence", lambda: tally(rows))
    html = one_line(browser.get(reverse("board:evidence")).content.decode())
    enough, few = html.split("No evidence yet")
    assert "Front compression softer" in enough
    assert "Seen 5 of 6 times" in enough
    assert "44\u00a0% to 97\u00a0%" in enough
    assert '<svg class="share"' in enough
    assert 'aria-label="5 of 6, interval 44 to 97 percent"' in enough
    for counted in ("5 seen", "1 partly", "1 not tested", "1 confounded"):
        assert f"<span>{counted}</span>" in enough or f'"apart">{counted}</span>' in enough
    assert "Rear rebound firmer" in few
    assert "1 not seen" in few
    assert "svg" not in few.split("</ul>")[0]


def test_an_expectation_is_judged_at_like_pace_or_not_and_the_way_back_is_offered(browser, story):
    noted = story.found("B1")
    story.read("push", "front", "s", seconds=1.6)
    story.do_it(noted)
    story.came_in(2)
    html = page(browser, story)
    assert 'name="verdict" value="not_seen"' in html
    assert "checked" not in html
    expectation = Expectation.objects.get()
    url = reverse("board:sheet-act", args=[story.entry.pk, "judgement"])
    browser.post(url, {"expectation": expectation.pk, "verdict": "not_seen", "pace": "same"})
    assert expectation.judgements.get().like_pace is True
    assert Finding.objects.get(code="same").by_rider
    html = page(browser, story)
    assert "Put it back first" in html
    assert "13 out → 10 out" in html


def test_a_photo_of_what_is_seen_stands_beside_the_next_when_it_is_judged(browser, story):
    url = reverse("board:see", args=[story.entry.pk])
    browser.post(url, {"code": "T1", "end": "front", "place": "left", "photo": upload()})
    photos_prepare()
    noted = Finding.objects.get()
    before = BikePhoto.objects.get()
    assert (before.finding, before.end, before.place) == (noted, "front", "left")
    assert before.subject == "tyre"
    assert noted.title
    adjuster = Adjuster.objects.get(bike=story.entry.bike_id, end="front", function="rebound")
    story.act(
        "change",
        moves=[{"adjuster": str(adjuster.pk), "from_position": "10", "to_position": "12"}],
        reason="lip",
        expectation="no lip",
        finding=str(noted.pk),
    )
    story.came_in(2)
    html = page(browser, story)
    assert reverse("board:photo", args=[before.pk, "small"]) in html
    assert "Take the same photo now" in html
    photos = reverse("board:sheet-photos", args=[story.entry.pk])
    browser.post(photos, {"photo": upload(), "subject": "tyre", "end": "front", "place": "left"})
    photos_prepare()
    after = BikePhoto.objects.exclude(pk=before.pk).get()
    for name in ("advice", "sheet"):
        html = page(browser, story, name)
        assert reverse("board:photo", args=[after.pk, "small"]) in html
        assert "Take the same photo now" not in html


def test_a_finding_is_kept_although_its_photo_cannot_be_read(browser, story):
    url = reverse("board:see", args=[story.entry.pk])
    text = SimpleUploadedFile("a.jpg", b"no picture", content_type="image/jpeg")
    said = browser.post(url, {"code": "R5", "end": "front", "photo": text}, follow=True)
    assert "The photo was not kept" in said.content.decode()
    assert Finding.objects.get().code == "R5"
    assert not BikePhoto.objects.exists()


def test_a_second_change_on_an_end_is_asked_why(browser, story):
    noted = story.found("B1")
    story.read("push", "front", "s", seconds=1.6)
    story.do_it(noted)
    adjuster = Adjuster.objects.get(bike=story.entry.bike_id, end="front", function="compression")
    url = reverse("board:sheet-change", args=[story.entry.pk, adjuster.pk])
    html = browser.get(url).content.decode()
    assert "A second change on this end." in html
    assert "not judged yet: Front rebound" in html
    form = {f"from_{adjuster.pk}": "10", "by": "-1", "second_reason": "rain in ten minutes"}
    browser.post(url, form)
    html = browser.get(reverse("board:sheet", args=[story.entry.pk])).content.decode()
    assert "second change on this end: rain in ten minutes" in html


def test_a_second_change_without_a_reason_is_written_all_the_same(browser, story):
    """What was turned was turned: the book never refuses the truth for want of a reason."""
    noted = story.found("B1")
    story.read("push", "front", "s", seconds=1.6)
    story.do_it(noted)
    adjuster = Adjuster.objects.get(bike=story.entry.bike_id, end="front", function="compression")
    url = reverse("board:sheet-change", args=[story.entry.pk, adjuster.pk])
    browser.post(url, {f"from_{adjuster.pk}": "10", "by": "-1"})
    assert Adjustment.objects.get(adjuster=adjuster, kind="change").second_reason == ""


def test_a_bike_come_back_shows_what_was_good_and_what_differs(browser, story):
    from .test_replay import test_settled_needs_two_outings_and_rain_opens_it as settle

    settle(story)
    adjuster = Adjuster.objects.get(bike=story.entry.bike_id, end="rear", function="rebound")
    moved = {"adjuster": adjuster.pk, "from_position": "10", "to_position": "12"}
    story.act("change", moves=[moved], reason="tried by hand")
    html = page(browser, story)
    assert "Open again" in html
    assert "clean tyre, travel used within its band, no complaint" in html
    assert "It is wet" in html
    assert "Back to it" in html


def test_the_round_shows_what_is_to_be_judged_before_the_task(browser, story):
    lists = json.loads((ROOT / "fixtures" / "checklists.json").read_text())
    checklists_load(lists=lists)
    noted = story.found("B1")
    story.read("push", "front", "s", seconds=1.6)
    story.do_it(noted)
    expectation = Expectation.objects.get()
    own = reverse("board:my-round")
    assert expectation.text not in browser.get(own).content.decode()
    story.came_in(2)
    html = browser.get(own).content.decode()
    assert html.index(expectation.text) < html.index('class="hand in-hand')
    assert html.count('name="verdict"') == 4
    assert html.count('name="pace"') == 3
    url = reverse("board:advice-act", args=[story.entry.pk, "judgement"])
    back = browser.post(url, {"expectation": expectation.pk, "verdict": "seen", "round": "1"})
    assert back.url == own
    assert 'name="verdict"' not in browser.get(own).content.decode()


def test_the_venues_note_is_read_on_a_bike_never_settled(browser, story):
    venue = story.trackday.venue
    venue.note = "Bumps before the hairpin"
    venue.save()
    assert "Bumps before the hairpin" in page(browser, story)


def test_before_the_next_outing_judging_is_folded_away(browser, story):
    noted = story.found("B1")
    story.read("push", "front", "s", seconds=1.6)
    story.do_it(noted)
    for name in ("sheet", "advice"):
        assert "To be seen after the next outing" in page(browser, story, name)
    story.came_in(2)
    for name in ("sheet", "advice"):
        html = page(browser, story, name)
        assert "To be seen after the next outing" not in html
        assert 'name="pace" value="same"' in html


def test_the_rider_is_not_asked_for_his_pace_where_lap_times_tell_it(browser, story):
    story.laps(100)
    noted = story.found("B1")
    story.read("push", "front", "s", seconds=1.6)
    story.do_it(noted)
    story.came_in(2)
    story.laps(98)
    html = page(browser, story)
    assert "Not at like pace: -2.0 s" in html
    assert 'name="like_pace" value="no"' in html
    assert 'name="pace"' not in html
    expectation = Expectation.objects.get()
    post(
        browser, story, "judgement",
        expectation=expectation.pk, verdict="not_seen", like_pace="no",
    )  # fmt: skip
    assert expectation.judgements.get().like_pace is False


def test_without_lap_times_the_riders_word_is_the_pace(browser, story):
    story.came_in(2)
    story.found("quicker", end="", by_rider=True)
    alike = outing_pace_compared(story.entry, story.day.sessions[4].pk)
    assert alike.alike is False
    assert "by the rider's word: quicker" in alike.words
