"""Rules of the trade. Each is common practice, no source, unless one is named."""

from dataclasses import replace
from decimal import Decimal

import pytest

from jobs.tuning.knowledge import (
    EarlierToday,
    LoggedFinding,
    Observations,
    PressureReading,
    SuggestionKind,
    SuspectState,
    advise,
    finding_read,
    finding_table,
    shipped,
)
from jobs.tuning.knowledge.catalogue import ChangeDirection
from jobs.tuning.terms import Firming, Leg, OilState, TyreState

from .bench import (
    FRONT,
    REAR,
    F,
    advice_on,
    bike,
    change,
    clicker,
    push,
    sag,
    travel,
    tubes,
    turner,
)


# Common practice: slow when hot is rebound too closed.
def test_a_slow_rise_on_a_hot_push_gives_rebound_softer_by_several_clicks():
    said = advice_on("B1", FRONT, pushes=(push(FRONT, "slow", seconds=1.6),))
    assert change(said.at(FRONT)) == ("rebound", "softer", 10, 13)
    assert change(said.at(REAR)) is None


def test_a_very_slow_one_gives_a_quarter_of_the_range():
    said = advice_on("B1", FRONT, pushes=(push(FRONT, "slow", seconds=2.4),))
    assert change(said.at(FRONT)) == ("rebound", "softer", 10, 15)


# Common practice: cold is a condition, not a fault.
@pytest.mark.parametrize("seen", ["no_return", "slow", "keeps_bouncing"])
def test_a_fork_that_stays_down_on_cold_oil_gives_no_rebound_change(seen):
    cold = (push(FRONT, seen, oil=OilState.COLD),)
    said = advice_on([("B2", FRONT), ("B1", FRONT), ("T1", FRONT)], pushes=cold)
    assert said.at(FRONT).suggestion is None
    assert said.at(FRONT).recheck == (
        "Front: The push test was cold: leave as arrived, check again hot."
    )


def test_after_a_warm_push_test_the_advice_is_to_check_hot_first():
    said = advice_on("B1", FRONT, pushes=(push(FRONT, "slow", oil=OilState.WARM),))
    assert said.at(FRONT).suggestion is None
    assert said.at(FRONT).recheck == "Front: The push test was warm: check hot first."


def test_a_hot_push_of_an_earlier_stop_does_not_count():
    said = advice_on("B1", FRONT, pushes=(push(FRONT, "slow", this_turnaround=False),))
    assert said.at(FRONT).suggestion is None
    assert "push again, hot" in said.at(FRONT).recheck


def test_rebound_set_cold_goes_back_to_as_arrived():
    moved = clicker(FRONT, F.REBOUND, 15, arrived=10, moved_when=OilState.COLD)
    said = advice_on(
        "B2", FRONT, on=bike(moved), pushes=(push(FRONT, "slow", oil=OilState.COLD),)
    ).at(FRONT)
    assert said.suggestion.sort == SuggestionKind.AS_ARRIVED
    assert [int(move.to) for move in said.suggestion.moves] == [10]


def test_rebound_set_cold_stays_once_a_hot_push_was_made():
    """The hot push decides, also when the fork was pushed once more after it had cooled."""
    moved = clicker(FRONT, F.REBOUND, 15, arrived=10, moved_when=OilState.COLD)
    pushes = (push(FRONT, "slow"), push(FRONT, "slow", oil=OilState.COLD))
    said = advice_on("B1", FRONT, on=bike(moved), pushes=pushes).at(FRONT)
    assert said.suggestion.sort != SuggestionKind.AS_ARRIVED
    assert change(said) == ("rebound", "softer", 15, 18)


def test_rebound_set_hot_stays_where_it_is_on_a_cold_push():
    moved = clicker(FRONT, F.REBOUND, 15, arrived=10, moved_when=OilState.HOT)
    said = advice_on("B2", FRONT, on=bike(moved), pushes=(push(FRONT, "slow", oil=OilState.COLD),))
    assert said.at(FRONT).suggestion is None


# Common practice; the direction of a lip is disputed, so the push test decides.
def test_a_lip_on_the_leading_edge_with_a_late_rise_points_at_rebound():
    said = advice_on("T1", FRONT, pushes=(push(FRONT, "slow", seconds=1.5),))
    rebound = said.findings[0].weighed(1)
    assert rebound.standing == SuspectState.SUPPORTED
    assert rebound.because == ("Front push test, hot: comes up slowly, 1.5 s",)
    assert change(said.at(FRONT)) == ("rebound", "softer", 10, 13)


def test_the_same_lip_with_a_normal_push_rules_out_rebound_and_asks_the_next_question():
    said = advice_on("T1", FRONT, pushes=(push(FRONT, "settles"),))
    assert said.findings[0].weighed(1).standing == SuspectState.CONTRADICTED
    assert said.at(FRONT).suggestion is None
    assert said.findings[0].first_check.check.startswith("Is it a treaded front")


# Common practice.
def test_a_shoulder_ledge_from_hard_throttle_first_asks_the_rider():
    said = advice_on("T9", REAR, travels=(travel(REAR, 50),))
    assert said.at(REAR).suggestion is None
    assert said.for_the_rider[0].startswith("Tell me your roll-on at one corner.")


def test_a_shoulder_ledge_gives_a_change_once_the_throttle_is_ruled_out():
    said = advice_on("T9", REAR, travels=(travel(REAR, 50),), answers={("T9", 1): False})
    assert change(said.at(REAR)) == ("compression", "softer", 10, 12)
    assert said.for_the_rider == ()


# Common practice.
def test_pogo_on_entry_with_a_front_that_overshoots_gives_rebound_firmer():
    said = advice_on([("R4", FRONT), ("B3", FRONT)], pushes=(push(FRONT, "one_overshoot"),))
    assert change(said.at(FRONT)) == ("rebound", "firmer", 10, 8)
    assert said.at(FRONT).suggestion.also_points_here == ("B3",)


# Common practice: what is proven is left alone, the tuner works around it.
def test_a_stiff_front_with_proven_rebound_gives_compression_two_softer():
    proven = clicker(FRONT, F.REBOUND, proven=True)
    said = advice_on("V2", FRONT, on=bike(proven), travels=(travel(FRONT, 50),))
    assert change(said.at(FRONT)) == ("compression", "softer", 10, 12)


def test_the_same_stiff_front_would_be_rebound_were_it_not_proven():
    """What is proven is the only difference: a slow push, harsh, half of the travel used."""
    seen = {"pushes": (push(FRONT, "slow", seconds=1.6),), "travels": (travel(FRONT, 50),)}
    rows = [("R13", FRONT), ("V2", FRONT)]
    assert change(advice_on(rows, **seen).at(FRONT)) == ("rebound", "softer", 10, 12)
    proven = bike(clicker(FRONT, F.REBOUND, proven=True), turner(FRONT, proven=True))
    said = advice_on(rows, on=proven, **seen).at(FRONT)
    assert change(said) == ("compression", "softer", 10, 12)
    assert [note.why for note in said.not_offered] == [
        "Front rebound is proven on this bike: it stays."
    ]


def test_a_small_sag_would_be_preload_but_proven_preload_leaves_compression():
    seen = {"travels": (travel(FRONT, 50),), "sags": (sag(FRONT, 20),)}
    assert change(advice_on("V2", FRONT, **seen).at(FRONT)) == ("preload", "softer", 5, 4)
    said = advice_on("V2", FRONT, on=bike(turner(FRONT, proven=True)), **seen)
    assert change(said.at(FRONT)) == ("compression", "softer", 10, 12)
    assert "proven" in said.at(FRONT).not_offered[0].why


def test_little_travel_with_preload_and_compression_proven_offers_nothing():
    """Fork height moves weight; it is no way to use more travel."""
    on = bike(turner(FRONT, proven=True), clicker(FRONT, F.COMPRESSION, proven=True))
    said = advice_on("V2", FRONT, on=on, travels=(travel(FRONT, 50),)).at(FRONT)
    assert said.suggestion is None
    assert all("proven" in note.why for note in said.not_offered)


def test_a_step_that_stands_in_for_others_waits_until_none_of_them_can_be_set():
    table = finding_table(shipped().findings["V2"])
    instead = {
        "suspect": 3, "function": "tube_height", "direction": "more", "size": [2, 3], "unit": "mm",
        "end": "front", "when": "front travel short", "instead_of": ["front compression"],
    }  # fmt: skip
    own = finding_read("OWN1", {**table, "steps": [instead]}, own=True)
    seen = Observations(travels=(travel(FRONT, 50),))
    logged = [LoggedFinding(own, FRONT)]
    free = advise(bike=bike(), observed=seen, logged=logged)
    assert free.at(FRONT).suggestion is None
    proven = bike(clicker(FRONT, F.COMPRESSION, proven=True))
    said = advise(bike=proven, observed=seen, logged=logged)
    assert change(said.at(FRONT)) == ("tube_height", "more", 5, 7)


# Common practice: softening for a slow wet session and leaving it makes it worse.
@pytest.mark.parametrize("why", [{"wet": True}, {"pace": "slower"}, {"laps": 2}])
def test_little_travel_in_a_slow_or_wet_session_is_no_reason_to_soften(why):
    said = advice_on("V2", FRONT, travels=(travel(FRONT, 50),), **why)
    assert said.at(FRONT).suggestion is None
    assert said.findings[0].weighed(1).standing == SuspectState.SUPPORTED


# Common practice: the tyre maker's range stands.
def test_pressure_comes_before_damping_and_stays_inside_the_makers_range():
    hot = PressureReading(REAR, 262.0, TyreState.TRACK)
    said = advice_on(
        [("R5", REAR), ("R10", REAR)],
        pressures=(hot,),
        pushes=(push(REAR, "slow"),),
        travels=(travel(REAR, 50),),
    )
    assert change(said.at(REAR)) == ("tyre_pressure", "less", 30, 29)


def test_without_a_makers_range_there_is_no_figure():
    said = advice_on("T6", FRONT, on=bike(tyres={}), pressures=_rise(FRONT, 1.0))
    assert said.at(FRONT).suggestion is None
    assert "No maker's range is entered" in said.at(FRONT).not_offered[0].why


def test_a_pressure_never_set_is_asked_for_before_it_is_changed():
    unset = clicker(FRONT, F.TYRE_PRESSURE, None, highest=50, unit="psi", firming=Firming.UP)
    said = advice_on("T6", FRONT, on=bike(unset), pressures=_rise(FRONT, 1.0))
    assert said.at(FRONT).suggestion is None
    assert "read it with the gauge" in said.at(FRONT).not_offered[0].why


def test_a_pressure_at_the_makers_least_goes_no_lower():
    low = clicker(FRONT, F.TYRE_PRESSURE, "26.5", highest=50, unit="psi", firming=Firming.UP)
    said = advice_on("T6", FRONT, on=bike(low), pressures=_rise(FRONT, 1.0))
    assert said.at(FRONT).suggestion is None
    assert "outside the maker's 26.1 to 33.4 cold" in said.at(FRONT).not_offered[0].why


@pytest.mark.parametrize(("unit", "low"), [("bar", "1.8"), ("psi", "26.5"), ("kPa", "180")])
def test_a_pressure_at_its_lowest_position_is_not_moved_by_nothing(unit, low):
    lowest = clicker(FRONT, F.TYRE_PRESSURE, low, highest=500, unit=unit, firming=Firming.UP)
    lowest = replace(lowest, lowest=Decimal(low))
    said = advice_on("T6", FRONT, on=bike(lowest), pressures=_rise(FRONT, 1.0))
    assert said.at(FRONT).suggestion is None
    assert "Never force an end" in said.at(FRONT).not_offered[0].why


def _rise(end, psi):
    return (
        PressureReading(end, 205.0, TyreState.COLD),
        PressureReading(end, 205.0 + psi * 6.894757, TyreState.TRACK),
    )


# Common practice: the weak leg of a pair decides for both.
def test_a_pair_of_legs_moves_together_or_not_at_all():
    legs = [clicker(FRONT, F.REBOUND, at, leg=leg) for leg, at in ((Leg.LEFT, 18), (Leg.RIGHT, 12))]
    said = advice_on("B1", FRONT, on=bike(*legs), pushes=(push(FRONT, "slow"),)).at(FRONT)
    assert [(int(m.from_), int(m.to)) for m in said.suggestion.moves] == [(18, 20), (12, 14)]
    broken = [legs[0], clicker(FRONT, F.REBOUND, leg=Leg.RIGHT, usable=False)]
    said = advice_on("B1", FRONT, on=bike(*broken), pushes=(push(FRONT, "slow"),)).at(FRONT)
    assert said.suggestion is None
    assert said.not_offered[0].why == "Front rebound (right) is broken: no change on it."


def test_a_reversed_clicker_is_turned_the_other_way():
    reversed_ = clicker(FRONT, F.REBOUND, firming=Firming.UP)
    said = advice_on("B1", FRONT, on=bike(reversed_), pushes=(push(FRONT, "slow"),))
    assert change(said.at(FRONT)) == ("rebound", "softer", 10, 7)


def test_no_room_left_says_never_force_an_end():
    said = advice_on(
        "B1", FRONT, on=bike(clicker(FRONT, F.REBOUND, 19)), pushes=(push(FRONT, "slow"),)
    )
    assert said.at(FRONT).suggestion is None
    assert "only 1 click left that way" in said.at(FRONT).not_offered[0].why
    assert "Never force an end" in said.at(FRONT).not_offered[0].why


# OH2 (no click felt = service) and common practice.
def test_rebound_nearly_closed_and_still_fast_is_a_service():
    closed = clicker(REAR, F.REBOUND, 1)
    said = advice_on("T2", REAR, on=bike(closed), pushes=(push(REAR, "keeps_bouncing"),))
    assert [stop.action.value for stop in said.findings[0].stops] == ["service"]
    assert said.at(REAR).suggestion is None


def test_staying_down_on_hot_oil_is_a_stop():
    said = advice_on("B1", FRONT, pushes=(push(FRONT, "no_return"),))
    assert said.findings[0].stops[0].action == "hold"
    assert said.at(FRONT).suggestion is None


def test_a_held_bike_gets_no_change():
    said = advice_on("B1", FRONT, on=bike(holds=("Weeping seal",)), pushes=(push(FRONT, "slow"),))
    assert said.at(FRONT).suggestion is None
    assert said.at(FRONT).wait.startswith("Held: Weeping seal.")


def test_a_mechanical_suspect_asks_its_check_and_offers_a_hold():
    weighed = advice_on("R11", FRONT, pushes=(push(FRONT, "slow"),)).findings[0].weighed(2)
    assert weighed.standing == SuspectState.UNKNOWN
    assert weighed.offers_hold
    assert weighed.check == "Is the head bearing loose or the damper off?"


def test_headshake_gives_no_change_before_the_mechanical_check_passed():
    seen = {"pushes": (push(FRONT, "slow"),)}
    assert advice_on("R11", FRONT, **seen).at(FRONT).suggestion is None
    said = advice_on("R11", FRONT, answers={("R11", 2): False}, **seen)
    assert change(said.at(FRONT)) == ("rebound", "softer", 10, 12)


def test_several_suspects_give_a_plan():
    then = advice_on("R6", FRONT, travels=(travel(FRONT, 50),)).at(FRONT).then
    assert then[0].startswith("Next outing: Front compression softer.")
    assert any("Rear: Push test on hot oil" in line for line in then)


def test_an_overruled_suggestion_is_not_offered_and_its_reason_is_kept():
    name = ("B1", FRONT, F.REBOUND, ChangeDirection.SOFTER)
    past = EarlierToday(overruled={name: "he likes it slow"})
    said = advice_on("B1", FRONT, pushes=(push(FRONT, "slow"),), past=past)
    assert said.at(FRONT).suggestion is None
    assert said.at(FRONT).not_offered[0].why == "Overruled today: he likes it slow"


def test_two_findings_with_opposite_changes_are_shown_and_give_none():
    rows = [_own("OWN1", "firmer"), _own("OWN2", "softer")]
    said = advise(
        bike=bike(),
        observed=Observations(wet=False),
        logged=[LoggedFinding(row, REAR) for row in rows],
    ).at(REAR)
    assert said.suggestion is None
    assert {note.why for note in said.not_offered} == {
        "Two findings pull this adjuster opposite ways: make the checks first."
    }


def _own(code, direction):
    suspect = {"text": "compression", "kinds": ["damping"], "when": ["weather dry"]}
    step = {
        "suspect": 1, "function": "compression", "direction": direction, "size": [2, 2],
        "unit": "click",
    }  # fmt: skip
    table = {"title": code, "ends": ["rear"], "see": "-", "suspects": [suspect], "steps": [step]}
    return finding_read(code, table, own=True)


def test_contradicting_readings_are_named():
    said = advice_on("R3", None, sags=(sag(REAR, 45), sag(FRONT, 45)))
    assert said.findings[0].weighed(3).because[0] == "readings disagree"
    assert said.findings[0].weighed(3).standing == SuspectState.UNKNOWN


def test_a_remedy_that_is_not_an_adjuster_is_offered_alone():
    said = advice_on("T3", REAR, pressures=_rise(REAR, 2.0))
    assert said.at(REAR).suggestion.sort == SuggestionKind.REMEDY
    assert said.at(REAR).suggestion.text.startswith("Longer on the warmers")


def test_geometry_is_suggested_only_for_a_single_finding():
    said = advice_on([("T5", FRONT), ("R3", None)], on=bike(tubes(6)))
    assert change(said.at(FRONT)) == ("tube_height", "more", 6, 8)


def test_electronic_positions_move_one_at_a_time():
    labels = clicker(FRONT, F.REBOUND, 1, highest=4, unit="label")
    said = advice_on("B1", FRONT, on=bike(labels), pushes=(push(FRONT, "slow", seconds=3),))
    assert change(said.at(FRONT)) == ("rebound", "softer", 1, 2)


def test_without_findings_there_is_no_advice():
    said = advise(bike=bike(), observed=Observations(), logged=[])
    assert [plan.suggestion for plan in said.ends] == [None, None]


def test_every_finding_can_be_explained_with_nothing_known():
    for row in shipped().findings.values():
        said = advice_on(row.code, row.ends[0] if row.ends else None)
        assert all(plan.suggestion is None for plan in said.ends), row.code
        assert all(
            w.standing == SuspectState.UNKNOWN
            for w in said.findings[0].suspects
            if not w.suspect.when and not w.suspect.unless
        ), row.code
