"""What told a judgement: a ring that cannot show the change is no evidence, anything else is."""

from dataclasses import replace

import pytest
from django.urls import reverse

from jobs.advice.selectors import evidence, ring_landed
from jobs.advice.selectors.rings import rings_of
from jobs.setups.models import Expectation, Judgement, Order
from jobs.tuning.evidence import JudgedExpectation, tally
from jobs.tuning.terms import Verdict

from ..markup import one_line
from ..queries import queries
from .test_ring_outlook import changed, ridden, ring

__all__ = ["ridden"]


def judged(story, told_by, verdict="seen"):
    story.judge(verdict, told_by=told_by)
    return evidence()


def fork_preload(story):
    """One mm of fork preload, with a ring before and after: too small to be seen in it."""
    for number, used in enumerate((90, 92, 89), 1):
        ring(story, number, "front", used)
    changed(story, "front", 6)
    ring(story, 4, "front", 88)


def shock_preload(story):
    """Four mm of shock preload: one ring shows them."""
    for number, used in enumerate((30, 30.5, 29.5), 1):
        ring(story, number, "rear", used)
    changed(story, "rear", 9)
    ring(story, 4, "rear", 26.5)


@pytest.mark.parametrize("told_by", ["tyre", "push", "rider", "pace", ""])
def test_what_anything_else_told_of_an_invisible_change_counts(ridden, told_by):
    fork_preload(ridden)
    (found,) = judged(ridden, told_by)
    assert (found.seen, found.judged, found.ring_cannot_tell) == (1, 1, 0)


@pytest.mark.parametrize("verdict", ["seen", "partly", "not_seen"])
def test_what_the_ring_told_of_an_invisible_change_counts_for_nothing(ridden, verdict):
    fork_preload(ridden)
    (found,) = judged(ridden, "ring", verdict)
    assert (found.seen, found.judged, found.ring_cannot_tell) == (0, 0, 1)


def test_what_the_ring_told_of_a_change_that_it_shows_counts(ridden):
    shock_preload(ridden)
    (found,) = judged(ridden, "ring")
    assert (found.seen, found.judged, found.ring_cannot_tell) == (1, 1, 0)


@pytest.mark.parametrize(("told_by", "counts"), [("ring", (0, 1)), ("push", (1, 0))])
def test_no_ring_tells_what_damping_did(ridden, told_by, counts):
    ring(ridden, 1, "rear", 30)
    ridden.act("count", counts=[{"adjuster": rebound(ridden).pk, "position": "10"}])
    move = {"adjuster": rebound(ridden).pk, "from_position": "10", "to_position": "12"}
    ridden.act("change", moves=[move], expectation="holds the line")
    expectation = Expectation.objects.get()
    assert ring_landed(expectation) is None  # nothing was read since
    ring(ridden, 2, "rear", 31)
    assert ring_landed(expectation).sentence == "What damping does to the ring cannot be told."
    (found,) = judged(ridden, told_by)
    assert (found.judged, found.ring_cannot_tell) == counts


def rebound(story):
    return story.entry.bike.adjusters.get(end="rear", function="rebound")


def test_without_a_ring_after_the_change_no_ring_told_it(ridden):
    ring(ridden, 1, "rear", 30)
    changed(ridden, "rear", 9)
    ridden.came_in(2)
    (found,) = judged(ridden, "ring")
    assert found.ring_cannot_tell == 1


def test_the_queries_do_not_grow_with_what_rings_told(ridden):
    fork_preload(ridden)
    judged(ridden, "ring")
    with queries() as one:
        evidence()
    for number, used in enumerate((30, 30.5, 29.5), 5):
        ring(ridden, number, "rear", used)
    changed(ridden, "rear", 9)
    ring(ridden, 8, "rear", 26.5)
    ridden.judge("seen", told_by="ring")
    with queries() as two:
        evidence()
    assert (len(one), len(two)) == (31, 31)


def test_the_card_asks_what_told_it_and_has_tapped_the_ring_where_its_sentence_was_expected(
    ridden, browser
):
    shock_preload(ridden)
    sheet = reverse("board:sheet", args=[ridden.entry.pk])
    shown = one_line(browser.get(sheet).content.decode())
    assert 'name="told_by" value="ring">' in shown
    assert "counts for nothing" not in shown  # this ring tells
    told = ring_landed(Expectation.objects.get()).outlook.sentence
    Expectation.objects.update(text=told)
    shown = one_line(browser.get(sheet).content.decode())
    assert 'name="told_by" value="ring" checked>' in shown
    act = reverse("board:sheet-act", args=[ridden.entry.pk, "judgement"])
    expectation = Expectation.objects.get()
    browser.post(act, {"expectation": expectation.pk, "verdict": "seen", "told_by": "ring"})
    assert Judgement.objects.get().told_by == "ring"


def test_the_card_says_that_this_ring_is_no_evidence(ridden, browser):
    fork_preload(ridden)
    shown = one_line(browser.get(reverse("board:sheet", args=[ridden.entry.pk])).content.decode())
    assert "Judged by this ring it counts for nothing in the evidence." in shown


def test_without_a_ring_nobody_is_asked_what_told_it(ridden, browser):
    ring(ridden, 1, "front", 90)
    changed(ridden, "front", 6)
    ridden.came_in(2)
    shown = browser.get(reverse("board:sheet", args=[ridden.entry.pk])).content.decode()
    assert 'name="verdict"' in shown
    assert 'name="told_by"' not in shown


def test_what_is_no_way_to_be_told_is_refused(ridden, browser):
    fork_preload(ridden)
    act = reverse("board:sheet-act", args=[ridden.entry.pk, "judgement"])
    sent = {"expectation": Expectation.objects.get().pk, "verdict": "seen", "told_by": "the moon"}
    page = browser.post(act, sent, follow=True).content.decode()
    assert "is not a valid choice" in page
    assert not Judgement.objects.exists()


def alike(verdict, bike, model, **more):
    return JudgedExpectation(
        "R13", "front", ("compression",), "softer", verdict, bike, 1, bike_class=model, **more
    )


def test_the_evidence_page_has_a_bikes_own_days_first_then_its_model(ridden, browser, monkeypatch):
    bike = ridden.entry.bike
    rows = [alike(Verdict.SEEN, number, "Corvo R") for number in range(100, 105)]
    rows += [alike(Verdict.SEEN, bike.pk, str(bike)), alike(Verdict.NOT_SEEN, 99, str(bike))]
    monkeypatch.setattr("jobs.advice.selectors.evidence", lambda: tally(rows))
    page = reverse("board:evidence")
    of_all = one_line(browser.get(page).content.decode())
    assert of_all.index("<b>Corvo R</b>") < of_all.index(f"<b>{bike}</b>")
    assert "own days" not in of_all
    own = one_line(browser.get(page, {"bike": bike.pk}).content.decode())
    assert own.index("own days: seen 1 of 1 times") < own.index(f"<b>{bike}</b>")
    assert own.index(f"<b>{bike}</b>") < own.index("<b>Corvo R</b>")
    assert "with what the other models add" in own
    assert own.count('<svg class="share"') == 3
    assert browser.get(page, {"bike": "0"}).status_code == 404
    assert browser.get(page, {"bike": "x"}).status_code == 404


def test_advice_on_a_model_that_was_never_judged_says_so_and_what_others_let_expect(
    ridden, browser, monkeypatch
):
    rows = [alike(Verdict.SEEN, number, "Corvo R") for number in range(100, 105)]
    known = replace(tally(rows)[0], finding="B1", end="front", function="rebound")
    monkeypatch.setattr("jobs.advice.selectors.evidence", lambda: (known,))
    ridden.came_in(1)
    ridden.found("B1")
    ridden.read("push", "front", "s", seconds=1.6)
    page = reverse("board:advice", args=[ridden.entry.pk])
    shown = one_line(browser.get(page).content.decode())
    assert "Not judged on this bike yet." in shown
    assert "not judged on this model yet" in shown
    assert f"{reverse('board:evidence')}?bike={ridden.entry.bike_id}" in shown


def test_a_shift_that_was_ordered_and_then_done_counts_once(ridden, browser):
    for number, used in enumerate((30, 30.5, 29.5), 1):
        ring(ridden, number, "rear", used)
    preload = ridden.preloads["rear"].pk
    asked = {"adjuster": preload, "from": "5", "to": "9", "reason": "dives", "step_reason": "so"}
    act = reverse("board:advice-act", args=[ridden.entry.pk, "order"])
    browser.post(act, {**asked, "expectation": "the ring moves"})
    order = Order.objects.get()
    done = {f"from_{preload}": "5", f"to_{preload}": "9", "order": order.pk, "how": "read_back"}
    url = reverse("board:sheet-change", args=[ridden.entry.pk, preload])
    browser.post(url, {**done, "step_reason": "so"})
    ring(ridden, 4, "rear", 26.5)
    ring(ridden, 5, "rear", 26)
    bike = ridden.entry.bike
    shifts = [row.ring.shifts for row in rings_of(bike=bike)[bike.pk, "rear"]]
    assert [len(one) for one in shifts] == [0, 0, 0, 1, 0]
    assert shifts[3][0].change == str(order.pk)
    assert ring_landed(Expectation.objects.get()).verdict == Verdict.SEEN
