"""The pace of an outing: against the settled bike's, else against the day's first laps."""

import pytest
from django.urls import reverse

from jobs.advice.selectors import advice_basis
from jobs.advice.selectors.outings import outings_of
from jobs.setups.models import Expectation

from .story import Story, settle

pytestmark = pytest.mark.django_db


@pytest.fixture
def observed(story, monkeypatch):
    """What is handed to the reasoning about the bike as it stands now."""
    seen = []
    advise = advice_basis.advise
    monkeypatch.setattr(
        advice_basis, "advise", lambda **facts: seen.append(facts["observed"]) or advise(**facts)
    )

    def now():
        story.basis()
        return seen[-1]

    return now


def test_one_outing_alone_has_no_pace(story, observed):
    story.laps(100)
    assert (observed().gained_s, observed().pace) == (None, None)


def test_without_laps_the_riders_word_is_the_pace(story, observed):
    story.found("quicker", end="", by_rider=True)
    assert (observed().gained_s, observed().pace) == (None, "faster")


def test_it_is_compared_with_the_first_laps_of_the_day(story, observed):
    story.read("push", "front", "s", seconds=1)
    story.laps(100)
    story.came_in(2)
    story.laps(98)
    story.came_in(3)
    story.laps(97)
    assert (observed().gained_s, observed().pace) == (pytest.approx(3), "faster")


@pytest.mark.parametrize(("second", "pace"), [(102, "slower"), (100.2, "like"), (98, "faster")])
def test_a_difference_has_its_word(story, observed, second, pace):
    story.laps(100)
    story.came_in(2)
    story.laps(second)
    assert observed().pace == pace


def test_a_settled_bike_is_compared_with_what_it_was_settled_at(cast, monkeypatch):
    story = settle(Story(cast))
    story.came_in(3)
    story.laps(97)
    found = []
    advise = advice_basis.advise
    monkeypatch.setattr(
        advice_basis, "advise", lambda **facts: found.append(facts["observed"]) or advise(**facts)
    )
    story.comes_back(after=14)
    story.came_in(1)
    story.laps(98)
    story.came_in(2)
    story.laps(97)
    story.basis()
    assert found[-1].gained_s == pytest.approx(3)


def test_of_an_expectation_that_was_not_tested_no_pace_is_taken(story):
    noted = story.found("B1")
    story.read("push", "front", "s", seconds=1.6)
    story.do_it(noted)
    story.came_in(2)
    story.found("content", end="")
    story.judge("not_tested", like_pace=True)
    basis = story.basis()

    def word():
        rows = outings_of(
            basis.entry, basis.readings, basis.findings, basis.conditions, basis.catalogue
        )
        return rows[basis.session_id].word

    assert word() == ""
    Expectation.objects.get().judgements.update(withdrawn_at=basis.now)
    story.judge("not_seen", like_pace=True)
    assert word() == "like"


@pytest.mark.parametrize(
    ("laps", "said"), [(102, "2.0 s slower"), (100.1, "like pace"), (98, "2.0 s quicker")]
)
def test_a_bike_come_back_says_how_much(story, signed_in, cast, laps, said):
    story.laps(100)
    story.comes_back(after=30)
    story.came_in(1)
    story.laps(laps)
    page = signed_in(cast.tuner).get(reverse("board:advice", args=[story.entry.pk]))
    assert said in page.content.decode()
