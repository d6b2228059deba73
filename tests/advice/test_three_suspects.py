"""Three suspects on one end of one bike, three changes over three outings, through the act door.

A harsh fork: pressure, rebound and compression are suspected in that order of work. Each
change stands alone on its end, is judged after the next outing, put back where it was not
seen, and only then the next suspect is changed (common practice, no source). The counts at
the end are those a person would write down from the story.
"""

import pytest

from jobs.advice.selectors import evidence
from jobs.garage.enums import FittingKind, Function, Leg
from jobs.garage.models import Adjuster, Fitting
from jobs.tuning.knowledge import ChangeDirection, SuggestionKind, SuspectState
from jobs.tuning.terms import AdjusterFunction, End

from ..days import local
from .story import Story

pytestmark = pytest.mark.django_db

PRESSURE, REBOUND, COMPRESSION = "pressure", "rebound", "compression"
# The suspects of "Harsh", by the order they have in the catalogue.
SUSPECT = {PRESSURE: 1, COMPRESSION: 2, REBOUND: 3}


@pytest.fixture
def story(cast):
    """The bike with a front tyre whose pressure is set cold: 31 psi, of 29 to 33."""
    story = Story(cast)
    tyre = Adjuster.objects.create(
        bike=story.entry.bike, end=End.FRONT, leg=Leg.BOTH, function=Function.TYRE_PRESSURE,
        unit="psi", step="0.5", lowest=20, highest=45, firming="up",
    )  # fmt: skip
    Fitting.objects.create(
        bike=story.entry.bike, kind=FittingKind.TYRE, end=End.FRONT, name="Varsk Halm 120",
        fitted_at=local(7), maker_range_kpa={"cold": [200, 228], "track": [214, 241]},
    )  # fmt: skip
    move = {"adjuster": tyre.pk, "from_position": "31.5", "to_position": "31"}
    story.act("change", moves=[move], tyre_state="cold", read_back=True)
    return story


def comes_in_harsh(story, number, *, psi, push, used=60):
    """Hot pressure, hot push, ring, and the rider's words, minutes after the stop."""
    story.came_in(number)
    found = story.found("R13", by_rider=True, words="it hammers over the bumps")
    story.read("pressure", "front", "psi", tyre_state="track", pressure=psi)
    story.read("push", "front", "s", seconds=push)
    story.read("travel", "front", "mm", used=used)
    return found


def standing(story, suspect):
    found = story.basis().advice.findings
    row = next(row for row in found if row.finding.code == "R13")
    return row.weighed(SUSPECT[suspect]).standing


def stands_at(story, function):
    (found,) = [
        s
        for s in story.basis().standings
        if (s.adjuster.end, s.adjuster.function) == ("front", function)
    ]
    return found.position


def counts():
    return {
        (e.function, e.direction): (e.seen, e.partly, e.not_seen, e.not_tested, e.confounded)
        for e in evidence()
        if e.finding == "R13"
    }


def test_three_changes_over_three_outings_end_with_what_a_person_would_write_down(story):
    # After session 1: hot pressure above the maker's range, a slow push, little travel.
    found = comes_in_harsh(story, 1, psi=36, push=1.6)
    assert standing(story, PRESSURE) == SuspectState.SUPPORTED
    assert standing(story, REBOUND) == SuspectState.SUPPORTED
    assert standing(story, COMPRESSION) == SuspectState.UNKNOWN
    then = story.plan().then
    assert then[0].startswith("Next outing: Front tyre pressure less. Seen?")
    assert then[1] == "Then, if it is still there: Front rebound softer"
    assert any("Is it the first bump only?" in line for line in then)
    first = story.do_it(found)
    assert (first.function, first.direction) == (
        AdjusterFunction.TYRE_PRESSURE,
        ChangeDirection.LESS,
    )
    assert stands_at(story, "tyre_pressure") == 30
    # Nothing more on this end before it is judged.
    assert story.plan().suggestion is None
    assert "not judged yet" in story.plan().wait

    # Outing 2: still harsh. The pressure goes back, then the rebound.
    found = comes_in_harsh(story, 2, psi=34.5, push=1.6)
    assert standing(story, PRESSURE) == SuspectState.CONTRADICTED
    story.judge("not_seen", like_pace=True)
    assert story.do_it().sort == SuggestionKind.WAY_BACK
    assert stands_at(story, "tyre_pressure") == 31
    second = story.do_it(found)
    assert (second.function, second.direction) == (AdjusterFunction.REBOUND, ChangeDirection.SOFTER)
    assert stands_at(story, "rebound") == 12

    # Outing 3: it comes up in time now and hammers all the same. Back, then compression.
    found = comes_in_harsh(story, 3, psi=34.5, push=1.0)
    assert standing(story, REBOUND) == SuspectState.CONTRADICTED
    story.judge("not_seen", like_pace=True)
    assert story.do_it().sort == SuggestionKind.WAY_BACK
    assert stands_at(story, "rebound") == 10
    assert story.plan().suggestion is None
    story.act("answer", code="R13", suspect=SUSPECT[COMPRESSION], yes=True)
    third = story.do_it(found)
    assert (third.function, third.direction) == (
        AdjusterFunction.COMPRESSION,
        ChangeDirection.SOFTER,
    )
    assert stands_at(story, "compression") == 12

    # Outing 4: gone.
    story.came_in(4)
    story.judge("seen", like_pace=True)
    assert counts() == {
        ("tyre_pressure", "less"): (0, 0, 1, 0, 0),
        ("rebound", "softer"): (0, 0, 1, 0, 0),
        ("compression", "softer"): (1, 0, 0, 0, 0),
    }
    assert {e.says for e in evidence()} == {"no evidence yet"}


def test_a_change_beside_another_counts_nothing_though_the_first_was_put_back_later(story):
    found = comes_in_harsh(story, 1, psi=36, push=1.6)
    story.do_it(found)
    rebound = Adjuster.objects.get(bike=story.entry.bike_id, end="front", function="rebound")
    move = {"adjuster": rebound.pk, "from_position": "10", "to_position": "12"}
    story.act("change", moves=[move], reason="no time", expectation="calm", finding=str(found.pk))
    story.came_in(2)
    story.judge("seen")
    assert counts() == {("rebound", "softer"): (0, 0, 0, 0, 1)}
    back = {"adjuster": rebound.pk, "from_position": "12", "to_position": "10"}
    story.act("change", moves=[back], reason="back")
    assert counts() == {("rebound", "softer"): (0, 0, 0, 0, 1)}
