"""What an expert looks for in the catalogue. Common practice, no source, unless one is named."""

import re
from dataclasses import replace
from decimal import Decimal

import pytest

from jobs.tuning import Refused
from jobs.tuning.knowledge import (
    PressureReading,
    SuspectState,
    finding_read,
    finding_table,
    shipped,
)
from jobs.tuning.knowledge.catalogue import ChangeDirection
from jobs.tuning.knowledge.finding_reader import RETIRED_SOURCES
from jobs.tuning.terms import AdjusterFunction, Firming, TyreState

from .bench import FRONT, REAR, F, advice_on, bike, change, clicker, push, sag, travel, turner

FINDINGS = shipped().findings
STEPS = [(row, step) for row in FINDINGS.values() for step in row.steps]
SLOW = (push(FRONT, "slow", seconds=1.6),)
VERY_SLOW = (push(FRONT, "slow", seconds=2.4),)


@pytest.mark.parametrize(
    ("clicks", "position", "slow", "very_slow"),
    [(8, 4, 5, 6), (12, 6, 8, 9), (20, 10, 13, 15), (40, 20, 25, 28)],
)
def test_a_step_is_a_share_of_the_counted_range(clicks, position, slow, very_slow):
    """Four to seven clicks are half of a 12-click adjuster: it is a quarter, with a most."""
    on = bike(clicker(FRONT, F.REBOUND, position, highest=clicks))
    assert change(advice_on("B1", FRONT, on=on, pushes=SLOW).at(FRONT))[3] == slow
    assert change(advice_on("B1", FRONT, on=on, pushes=VERY_SLOW).at(FRONT))[3] == very_slow


def test_a_range_that_does_not_begin_at_zero_is_as_wide_as_its_two_ends_are_apart():
    begins_at_one = replace(clicker(FRONT, F.REBOUND, 10, highest=21), lowest=Decimal(1))
    said = advice_on("B1", FRONT, on=bike(begins_at_one), pushes=VERY_SLOW)
    assert change(said.at(FRONT))[3] == 15


def test_a_step_of_which_less_than_half_is_left_is_not_offered():
    near, nearer = (clicker(FRONT, F.REBOUND, at, highest=20) for at in (17, 18))
    assert change(advice_on("B1", FRONT, on=bike(near), pushes=VERY_SLOW).at(FRONT))[3] == 20
    said = advice_on("B1", FRONT, on=bike(nearer), pushes=VERY_SLOW).at(FRONT)
    assert said.suggestion is None
    assert "only 2 click left" in said.not_offered[0].why


def test_rebound_that_is_turned_and_not_clicked_moves_by_the_same_share():
    turned = turner(FRONT)
    turned = clicker(
        FRONT, F.REBOUND, "1.5", highest=3, unit="turn", step=turned.step / 2, firming=Firming.DOWN
    )
    said = advice_on("B1", FRONT, on=bike(turned), pushes=VERY_SLOW).at(FRONT).suggestion
    assert str(said.moves[0].to) == "2.25"


def test_no_step_of_the_catalogue_is_in_clicks_alone():
    assert [
        row.code for row, step in STEPS if (step.unit == "click") != (step.share is not None)
    ] == []


def test_an_own_finding_with_absolute_clicks_works_as_before():
    table = finding_table(FINDINGS["B1"])
    for step in table["steps"]:
        step.pop("share")
        step["size"] = [4, 7]
    own = finding_read("B1", table, own=True)
    assert {(step.low, step.high, step.share) for step in own.steps} == {(4, 7, None)}


def test_an_own_finding_that_names_a_source_of_the_first_list_can_still_be_read():
    table = {**finding_table(FINDINGS["B1"]), "sources": ["LOU", "RF"]}
    assert finding_read("B1", table, sources=shipped().sources, own=True).sources == ()
    assert RETIRED_SOURCES.isdisjoint(shipped().sources)


@pytest.mark.parametrize("share", [0, 60, "much"])
def test_a_share_that_is_none_is_refused(share):
    table = finding_table(FINDINGS["B1"])
    table["steps"][0]["share"] = share
    with pytest.raises(Refused, match="step 1"):
        finding_read("B1", table)


def test_sources_are_books_papers_and_standards_and_no_sites():
    sites = re.compile(r"\.(com|org|net|nz|au|de|wiki)\b|thread|blog|forum|guide", re.I)
    assert [said for said in shipped().sources.values() if sites.search(said)] == []
    assert {code for row in FINDINGS.values() for code in row.sources} == set(shipped().sources)
    assert [row.code for row in FINDINGS.values() if not row.sources] == [
        row.code for row in FINDINGS.values() if row.source_note.startswith("Common practice")
    ]


def test_every_supported_suspect_that_rests_on_readings_has_its_step():
    """A suspect of which readings speak, of sag or travel or a push, offers what it asks for."""
    lacking = {
        (row.code, suspect.order)
        for row in FINDINGS.values()
        for suspect in row.suspects
        if suspect.when and {"damping", "spring"} & set(suspect.kinds) and not suspect.do
        if suspect.order not in {step.suspect for step in row.steps}
    }
    assert lacking == WITHOUT_A_STEP


# Each of these is changed by the finding of its own that the same readings raise (B1, B3, V1, V2,
# V3), or is moved by no adjuster: a worn damper, a spring swap, a preload that was just turned.
WITHOUT_A_STEP = {
    ("B1", 4), ("B3", 2), ("R4", 3), ("R4", 4), ("R5", 3), ("R8", 2), ("T2", 4), ("T3", 4),
    ("T4", 4), ("T6", 4), ("T7", 4), ("T9", 3), ("T11", 3), ("T5", 2), ("B2", 2),
}  # fmt: skip


# R1: one turn of preload is about one millimetre, not ten to twenty at the ring.
def test_no_expectation_promises_millimetres_at_the_ring():
    assert [row.code for row in FINDINGS.values() if re.search(r"\d+ ?mm", row.next)] == []


# R6, R9: a rear that is low has its step.
@pytest.mark.parametrize("code", ["R6", "R9", "R19"])
def test_a_rear_that_is_low_is_raised_by_its_preload(code):
    said = advice_on(code, FRONT, sags=(sag(REAR, 45),))
    assert change(said.at(REAR)) == ("preload", "firmer", 5, 6)


# R11: a front that bounces is a matter of rebound, not of fork height.
def test_headshake_with_a_front_that_bounces_gives_rebound_and_not_fork_height():
    said = advice_on(
        "R11", FRONT, pushes=(push(FRONT, "keeps_bouncing"),), answers={("R11", 2): False}
    )
    assert change(said.at(FRONT)) == ("rebound", "firmer", 10, 8)


def test_headshake_gives_fork_height_only_where_the_nose_stands_low():
    normal = {"pushes": (push(FRONT, "settles"),)}
    asked = advice_on("R11", FRONT, **normal, answers={("R11", 2): False})
    assert change(asked.at(FRONT)) is None
    said = advice_on("R11", FRONT, **normal, answers={("R11", 2): False, ("R11", 3): True})
    assert change(said.at(FRONT)) == ("tube_height", "less", 5, 3)


# V2: fork height moves weight, it does not use more travel.
def test_little_travel_never_offers_fork_height():
    assert AdjusterFunction.TUBE_HEIGHT not in {step.function for step in FINDINGS["V2"].steps}


# R3: a sag that is right is not moved.
def test_heavy_steering_with_both_sags_right_leaves_the_preload_alone():
    right = (sag(FRONT, 30), sag(REAR, 30))
    assert change(advice_on("R3", sags=right).at(FRONT)) is None  # first the bearing is felt
    said = advice_on("R3", sags=right, answers={("R3", 2): False})
    assert change(said.at(FRONT)) == ("tube_height", "more", 5, 7)
    assert change(said.at(REAR)) is None
    preload = [s for s in FINDINGS["R3"].steps if s.function == AdjusterFunction.PRELOAD]
    assert [step.when.text for step in preload] == ["rear sag large"]


# R9: on its first day a bike has no pace it was set up for.
def pace_suspect(**observed):
    return advice_on("R9", REAR, pace="faster", **observed).findings[0].weighed(1)


def test_a_pace_that_rose_is_no_suspect_on_a_bikes_first_day():
    first = pace_suspect(gained_s=4.0, earlier_day=False)
    assert first.standing == SuspectState.CONTRADICTED
    assert "its first day here" in first.because
    assert pace_suspect(gained_s=4.0, earlier_day=True).standing == SuspectState.SUPPORTED


def test_a_pace_that_rose_by_a_second_is_not_the_three_that_reopen_a_setup():
    assert pace_suspect(gained_s=1.4, earlier_day=True).standing == SuspectState.CONTRADICTED
    assert pace_suspect(earlier_day=True).standing == SuspectState.UNKNOWN


# Order of work: tyres and pressures before geometry, at either end.
@pytest.mark.parametrize("end", [FRONT, REAR])
@pytest.mark.parametrize("code", ["R3", "R16"])
def test_a_tyre_below_its_range_comes_before_fork_height(code, end):
    low = PressureReading(end, 160.0, TyreState.COLD)
    right = (sag(FRONT, 30), sag(REAR, 30))
    said = advice_on(code, sags=right, pressures=(low,), answers={(code, 2): False})
    assert change(said.at(end)) == ("tyre_pressure", "more", 30, 31)
    assert change(said.at(REAR if end == FRONT else FRONT)) is None


@pytest.mark.parametrize("code", ["R6", "T1", "T2", "T9"])
def test_a_suspect_that_names_a_low_pressure_puts_it_right(code):
    end = FINDINGS[code].ends[0]
    low = PressureReading(end, 160.0, TyreState.COLD)
    answers = {(code, 1): False}
    said = advice_on(code, end, pressures=(low,), answers=answers)
    assert change(said.at(end)) == ("tyre_pressure", "more", 30, 31)


# A ring that stops short says nothing of the damping in the rain, at a slow pace or in few laps.
def test_no_step_softens_for_a_short_ring_of_a_wet_slow_or_brief_outing():
    short = [
        (row.code, step)
        for row, step in STEPS
        if step.when and "travel short" in step.when.text and "or right" not in step.when.text
        if step.direction == ChangeDirection.SOFTER and step.function != AdjusterFunction.REBOUND
    ]
    guards = {"laps few", "weather wet", "pace slower"}
    assert len(short) == 11
    assert [code for code, step in short if not guards <= {c.text for c in step.unless}] == []


def test_a_rear_held_down_by_slow_rebound_is_opened_before_compression_is_closed():
    deep = {"travels": (travel(REAR, 99),), "answers": {("V3", 1): False}}
    packed = advice_on("V3", REAR, **deep, pushes=(push(REAR, "slow"),)).at(REAR)
    assert change(packed) == ("rebound", "softer", 10, 13)
    assert change(advice_on("V3", REAR, **deep).at(REAR)) == ("compression", "firmer", 10, 8)


def test_the_heat_of_a_surface_is_a_hint_and_never_a_remedy_before_every_other_step():
    hints = {"surface", "sides", "centre"}
    assert [
        row.code
        for row in FINDINGS.values()
        for suspect in row.suspects
        if suspect.do and hints & {term.fact for c in suspect.when for term in c.terms}
    ] == []
    assert [
        row.code
        for row, step in STEPS
        if hints & {t.fact for c in (step.when, *step.unless) if c for t in c.terms}
    ] == []


def test_a_rider_is_not_called_he():
    words = re.compile(r"\b(he|him|himself|his)\b", re.I)
    tables = {row.code: str(finding_table(row)) for row in FINDINGS.values()}
    assert [code for code, said in tables.items() if words.search(said)] == []


# The ring at the rear: two thirds of the shaft's stroke is right, and nothing is softened.
def test_a_rear_that_uses_two_thirds_of_its_shaft_is_not_softened():
    said = advice_on([("R9", REAR), ("R10", REAR)], travels=(travel(REAR, 68),))
    assert change(said.at(REAR)) is None


NEW = {
    "R15": ("Stands up on the trailing brake", FRONT, {"travels": (travel(FRONT, 90),)},
            ("compression", "firmer", 10, 8)),
    "R16": ("Heavy from side to side", REAR, {"pushes": (push(REAR, "slow"),)},
            ("rebound", "softer", 10, 12)),
    "R17": ("Falls in", FRONT, {"sags": (sag(FRONT, 45),)}, ("preload", "firmer", 5, 6)),
    "R18": ("Rear slides off the throttle", REAR, {"pushes": (push(REAR, "one_overshoot"),)},
            ("rebound", "firmer", 10, 8)),
    "R19": ("Front light under power", REAR, {"travels": (travel(REAR, 90),)},
            ("compression", "firmer", 10, 8)),
    "R20": ("No feel at the rear", REAR, {"travels": (travel(REAR, 45),)},
            ("compression", "softer", 10, 12)),
    "R21": ("Arm pump", FRONT, {"pushes": (push(FRONT, "slow"),)},
            ("rebound", "softer", 10, 12)),
}  # fmt: skip


@pytest.mark.parametrize("code", NEW)
def test_what_riders_say_and_the_catalogue_lacked_is_in_it(code):
    title, end, seen, expected = NEW[code]
    assert FINDINGS[code].title == title
    where = None if not FINDINGS[code].ends else FINDINGS[code].ends[0]
    said = advice_on(code, where, **seen)
    assert change(said.at(end)) == expected
    assert change(said.at(REAR if end == FRONT else FRONT)) is None
    assert {step.direction for step in FINDINGS[code].steps} <= set(ChangeDirection)
