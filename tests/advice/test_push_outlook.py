"""What a change of rebound clicks should show in the next hot push, and what it showed."""

import pytest
from django.urls import reverse

from jobs.advice.selectors import push_landed, push_outlook_of
from jobs.advice.selectors.push_pairs import push_book
from jobs.garage.enums import Function
from jobs.garage.models import Adjuster
from jobs.setups.models import Expectation
from jobs.trackday.models import Entry

from ..markup import one_line
from ..queries import queries
from .story import Story


@pytest.fixture
def pushed(cast):
    """A bike whose rear rebound stands at 10 out; it has come in from its first outing."""
    story = Story(cast)
    story.came_in(1)
    story.rebound = Adjuster.objects.select_related("bike").get(
        bike=story.entry.bike, end="rear", function=Function.REBOUND
    )
    return story


def push(story, seconds, oil="hot"):
    more = {} if oil == "hot" else {"oil": oil, "oil_reason": "stood in the shade"}
    values = [{"name": "seconds", "value": str(seconds), "unit": "s"}]
    return story.act("reading", kind="push", end="rear", values=values, **more)


def turned(story, start, to, *others, expectation="comes back sooner"):
    moves = [
        {
            "adjuster": story.rebound.pk,
            "from_position": str(start),
            "to_position": str(to),
        },
        *others,
    ]
    story.act("change", moves=moves, expectation=expectation)
    return Expectation.objects.order_by("-accepted_at").first()


def asked(story, start, to):
    entry = Entry.objects.select_related("bike", "trackday").get(pk=story.entry.pk)
    return push_outlook_of(entry, [(story.rebound, start, to)])


def test_softer_clicks_should_bring_it_back_sooner_in_a_wide_band(pushed):
    push(pushed, 1.0)
    with queries() as counted:
        found = asked(pushed, 10, 13)
    assert len(counted) == 4  # one of them the entry
    assert 0.8 < found.middle < 0.95  # 5 % a click is the prior (simulated, no source)
    assert found.low < 0.75
    assert found.high > 1.0  # the wrong direction stays possible
    assert "One pair of pushes shows the wrong direction one time in four" in found.sentence
    firmer = asked(pushed, 10, 7)
    assert firmer.middle > 1.0


def test_pushes_of_one_stop_are_taken_together(pushed):
    for seconds in (1.0, 1.2, 1.0):
        push(pushed, seconds)
    assert asked(pushed, 10, 13).seconds_now == pytest.approx(1.2 ** (1 / 3))


@pytest.mark.parametrize("oil", ["warm", "cold"])
def test_a_push_with_oil_that_is_not_hot_is_refused_by_name(pushed, oil):
    push(pushed, 1.0, oil)
    found = asked(pushed, 10, 13)
    assert not found.told
    assert f"The oil was {oil} at the last timed push" in found.refused


def test_without_a_push_since_the_last_change_it_says_to_push(pushed):
    assert "No push was timed since the last change" in asked(pushed, 10, 13).refused
    push(pushed, 1.0)
    turned(pushed, 10, 13)
    assert "No push was timed since the last change" in asked(pushed, 13, 15).refused


def test_other_adjusters_say_nothing_of_a_push(pushed):
    damping = Adjuster.objects.get(
        bike=pushed.entry.bike, end="rear", function=Function.COMPRESSION
    )
    with queries() as counted:
        assert push_outlook_of(pushed.entry, [(damping, 10, 8)]) is None
    assert len(counted) == 0


def test_what_was_pushed_after_lands_in_the_band_and_teaches_the_next(pushed):
    push(pushed, 1.0)
    told = asked(pushed, 10, 13)
    expectation = turned(pushed, 10, 13)
    assert push_landed(expectation) is None  # not pushed since
    pushed.came_in(2)
    push(pushed, 0.8)
    landed = push_landed(expectation)
    assert (landed.low, landed.middle, landed.high) == pytest.approx(
        (told.low, told.middle, told.high)
    )
    assert landed.sentence.startswith("Hot push 0.80 s after 1.00 s: within")
    assert landed.sentence.endswith("One pair of pushes does not tell what the clicks did.")
    after = asked(pushed, 13, 15)
    assert (after.learned.pairs, told.learned.pairs) == (1, 0)
    assert "this adjuster's own" in after.rests_on
    pushed.act("judgement", expectation=str(expectation.pk), verdict="seen")


def test_a_push_far_off_is_outside_and_still_judges_nothing(pushed):
    push(pushed, 1.0)
    expectation = turned(pushed, 10, 13)
    pushed.came_in(2)
    push(pushed, 3.0)
    assert "outside" in push_landed(expectation).sentence


def test_a_pair_with_oil_not_equally_hot_is_refused_by_name_and_teaches_nothing(pushed):
    push(pushed, 1.0)
    expectation = turned(pushed, 10, 13)
    pushed.came_in(2)
    push(pushed, 0.8, "warm")
    found = push_landed(expectation)
    assert not found.told
    assert "The oil was not equally hot: before hot, after warm." in found.refused
    assert push_book(pushed.entry.bike).pairs() == []


def test_a_second_change_between_two_pushes_makes_no_pair(pushed):
    push(pushed, 1.0)
    turned(pushed, 10, 13)
    compression = Adjuster.objects.get(
        bike=pushed.entry.bike, end="rear", function=Function.COMPRESSION
    )
    moves = [{"adjuster": compression.pk, "from_position": "10", "to_position": "8"}]
    pushed.act("change", moves=moves, second_reason="asked for")
    pushed.came_in(2)
    push(pushed, 0.8)
    assert push_book(pushed.entry.bike).pairs() == []


def test_rebound_turned_together_with_something_else_makes_no_pair(pushed):
    compression = Adjuster.objects.get(
        bike=pushed.entry.bike, end="rear", function=Function.COMPRESSION
    )
    push(pushed, 1.0)
    other = {"adjuster": compression.pk, "from_position": "10", "to_position": "8"}
    expectation = turned(pushed, 10, 13, other)
    pushed.came_in(2)
    push(pushed, 0.8)
    assert push_book(pushed.entry.bike).pairs() == []
    assert push_landed(expectation) is None


def test_pushes_of_another_day_make_no_pair(pushed):
    push(pushed, 1.0)
    turned(pushed, 10, 13)
    pushed.comes_back(after=30)
    pushed.came_in(1)
    push(pushed, 0.8)
    assert push_book(pushed.entry.bike).pairs() == []


def test_the_panel_draws_the_seconds_and_offers_the_sentence(pushed, browser):
    push(pushed, 1.0)
    url = reverse("board:sheet-preview", args=[pushed.entry.pk, pushed.rebound.pk])
    shown = one_line(browser.get(url, {"by": "3"}).content.decode())
    assert "Hot push 1.00 → 0." in shown
    assert 'name="expects" value="Hot push about 0.' in shown
    assert "What damping does to the ring cannot be told." in shown


def test_the_card_shows_the_push_in_its_band(pushed, browser):
    push(pushed, 1.0)
    turned(pushed, 10, 13)
    pushed.came_in(2)
    push(pushed, 0.8)
    shown = one_line(browser.get(reverse("board:sheet", args=[pushed.entry.pk])).content.decode())
    assert "One pair of pushes does not tell what the clicks did." in shown
    assert "ring-read" in shown
