"""One change per end and session, and the way back: common practice, no source."""

from jobs.tuning.knowledge import (
    Past,
    Sort,
    Tried,
)
from jobs.tuning.knowledge.catalogue import Direction
from jobs.tuning.terms import Leg, Verdict

from .bench import FRONT, REAR, F, advise, change, push, travel

# Method: not seen, put it back first, then the next cause.
TRIED = {
    "end": FRONT,
    "function": F.COMPRESSION,
    "direction": Direction.SOFTER,
    "moves": (((FRONT, F.COMPRESSION, Leg.BOTH), 8, 10),),
    "finding": "R6",
    "expected": "Holds the paint mark",
}
WIDE = {"travels": (travel(FRONT, 50),), "pushes": (push(REAR, "slow"),)}


def test_a_change_not_judged_yet_waits():
    said = advise("R6", FRONT, past=Past((Tried(**TRIED),)), **WIDE)
    assert said.at(FRONT).suggestion is None
    assert "confounds both" in said.at(FRONT).wait
    assert change(said.at(REAR)) == ("rebound", "softer", 10, 12)  # the other end is free


def test_not_seen_is_put_back_first_and_not_tried_again():
    not_seen = Tried(**TRIED, verdict=Verdict.NOT_SEEN)
    said = advise("R6", FRONT, past=Past((not_seen,)), **WIDE).at(FRONT)
    assert said.suggestion.sort == Sort.WAY_BACK
    assert change(said) == ("compression", "firmer", 10, 8)
    back = Tried(**TRIED, verdict=Verdict.NOT_SEEN, put_back=True)
    said = advise("R6", FRONT, past=Past((back,)), **WIDE).at(FRONT)
    assert said.suggestion is None
    assert said.not_offered[0].why == "Tried today and not seen."


def test_not_tested_is_left_and_looked_at_again():
    said = advise("R6", FRONT, past=Past((Tried(**TRIED, verdict=Verdict.NOT_TESTED),)), **WIDE)
    assert "not tested: leave it" in said.at(FRONT).wait
