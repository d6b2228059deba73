"""When a bike is settled, and what reopens it: common practice, no source."""

import pytest

from jobs.tuning.knowledge import (
    CurrentState,
    OutingRecord,
    ReopenTrigger,
    SettledReference,
    TravelReading,
    reopened,
    settled,
    track_line,
)
from jobs.tuning.pace import Lap, outing_pace

from .bench import FRONT, REAR, travel

# Common practice: two outings, like pace, clean tyre, about three quarters of travel.
GOOD = OutingRecord(True, False, (travel(FRONT, 75), travel(REAR, 70)), word="like")


def test_clean_tyres_three_quarters_of_travel_and_no_complaint_twice_is_settled():
    assert settled([GOOD, GOOD]).settled
    assert settled([OutingRecord(False, True), GOOD, GOOD]).settled


@pytest.mark.parametrize(
    ("second", "missing"),
    [
        (OutingRecord(None, False, GOOD.travels, word="like"), "Look at the tyre."),
        (OutingRecord(False, False, GOOD.travels, word="like"), "The tyre is not clean."),
        (OutingRecord(True, None, GOOD.travels, word="like"), "Ask the rider."),
        (OutingRecord(True, True, GOOD.travels, word="like"), "The rider has a complaint."),
        (OutingRecord(True, False, (), word="like"), "Read the travel ring."),
        (
            OutingRecord(True, False, (TravelReading(FRONT, 110, 120),), word="like"),
            "Front: 92% of travel used, not 65% to 85%.",
        ),
        (
            OutingRecord(True, False, GOOD.travels),
            "No lap times: ask the rider, quicker, same or slower?",
        ),
        (
            OutingRecord(True, False, GOOD.travels, word="faster"),
            "Not at like pace, by the rider's word: quicker.",
        ),
    ],
)
def test_what_is_missing_for_settled_is_named(second, missing):
    found = settled([GOOD, second])
    assert not found.settled
    assert missing in found.missing


SLOW = (103.4, 102.8, 102.5, 102.9, 102.6, 103.1, 102.7)


def _pace(*seconds):
    return outing_pace(laps=[Lap(s) for s in seconds])


def test_like_pace_is_clean_medians_within_a_second_and_wins_over_the_word():
    one = OutingRecord(True, False, GOOD.travels, pace=_pace(*SLOW))
    near = OutingRecord(
        True, False, GOOD.travels, pace=_pace(*(s - 0.9 for s in SLOW)), word="faster"
    )
    far = OutingRecord(True, False, GOOD.travels, pace=_pace(*(s - 1.1 for s in SLOW)), word="like")
    assert settled([one, near]).settled
    assert not settled([one, near]).by_word
    assert settled([one, far]).missing == ("Not at like pace: -1.1 s.",)


def test_three_seconds_faster_reopens_with_the_two_things_to_watch():
    reference = SettledReference(pace=_pace(*SLOW), wet=False)
    now = CurrentState(pace=_pace(*(s - 3.1 for s in SLOW)), wet=False)
    (found,) = reopened(reference, now)
    assert found.trigger == ReopenTrigger.PACE
    assert found.watch == ("wide on power", "unstable on the brakes")
    assert reopened(reference, CurrentState(pace=_pace(*(s - 2.5 for s in SLOW)), wet=False)) == ()
    assert reopened(reference, CurrentState(pace=_pace(*(s + 4 for s in SLOW)), wet=False)) == ()


def test_pace_of_another_layout_or_too_few_laps_reopens_nothing():
    reference = SettledReference(pace=_pace(*SLOW), wet=False, layout="long")
    fast = [s - 4 for s in SLOW]
    assert reopened(reference, CurrentState(pace=_pace(*fast), wet=False, layout="short")) == ()
    assert reopened(reference, CurrentState(pace=_pace(*fast[:3]), wet=False, layout="long")) == ()


@pytest.mark.parametrize(
    ("now", "trigger"),
    [
        (CurrentState(tyre="another tyre"), ReopenTrigger.TYRE),
        (CurrentState(wet=True), ReopenTrigger.RAIN),
        (CurrentState(crash="fell at the hairpin"), ReopenTrigger.CRASH),
        (CurrentState(rider="Kit"), ReopenTrigger.RIDER),
        (CurrentState(parts="spring"), ReopenTrigger.PARTS),
        (CurrentState(weight_kg=92), ReopenTrigger.WEIGHT),
        (CurrentState(other_hand="front rebound found at 7"), ReopenTrigger.OTHER_HAND),
    ],
)
def test_what_else_reopens_and_always_two_things_to_watch(now, trigger):
    (found,) = reopened(SettledReference(wet=False, rider="Ada", weight_kg=80), now)
    assert found.trigger == trigger
    assert len(found.watch) == 2


def test_ten_degrees_of_track_temperature_give_one_line():
    assert track_line(24, 33) == ""
    assert track_line(24, 34).startswith("Track 10 °C hotter")
    assert track_line(34, 24).startswith("Track 10 °C colder")
    assert track_line(None, 24) == ""
