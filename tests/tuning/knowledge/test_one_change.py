"""One change per end and session, and undoing it: common practice, no source."""

from jobs.tuning.knowledge import (
    EarlierToday,
    SuggestionKind,
    TriedChange,
)
from jobs.tuning.knowledge.catalogue import ChangeDirection
from jobs.tuning.terms import Leg, Verdict

from .bench import FRONT, REAR, F, advice_on, change, push, travel

# Method: not seen, put it back first, then the next cause.
TRIED = {
    "end": FRONT,
    "function": F.COMPRESSION,
    "direction": ChangeDirection.SOFTER,
    "moves": (((FRONT, F.COMPRESSION, Leg.BOTH), 8, 10),),
    "finding": "R6",
    "expected": "Holds the paint mark",
}
WIDE = {"travels": (travel(FRONT, 50),), "pushes": (push(REAR, "slow"),)}


def test_no_change_is_offered_before_the_last_one_is_judged():
    said = advice_on("R6", FRONT, past=EarlierToday((TriedChange(**TRIED),)), **WIDE)
    assert said.at(FRONT).suggestion is None
    assert "confounds both" in said.at(FRONT).wait
    assert change(said.at(REAR)) == ("rebound", "softer", 10, 12)  # the other end is free


def test_a_change_that_was_not_seen_is_undone_first_and_not_tried_again():
    not_seen = TriedChange(**TRIED, verdict=Verdict.NOT_SEEN)
    said = advice_on("R6", FRONT, past=EarlierToday((not_seen,)), **WIDE).at(FRONT)
    assert said.suggestion.sort == SuggestionKind.WAY_BACK
    assert change(said) == ("compression", "firmer", 10, 8)
    back = TriedChange(**TRIED, verdict=Verdict.NOT_SEEN, put_back=True)
    said = advice_on("R6", FRONT, past=EarlierToday((back,)), **WIDE).at(FRONT)
    assert said.suggestion is None
    assert said.not_offered[0].why == "Tried today and not seen."


def test_a_change_that_was_not_tested_is_left_and_judged_later():
    said = advice_on(
        "R6", FRONT, past=EarlierToday((TriedChange(**TRIED, verdict=Verdict.NOT_TESTED),)), **WIDE
    )
    assert "not tested: leave it" in said.at(FRONT).wait
