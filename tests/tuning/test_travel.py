"""Travel used, at the place where it was read.

The ring at the rear sits on the shock's shaft, whose stroke is about half of the wheel's travel.
The bands are common practice, no source.
"""

import pytest
from scipy.optimize import brentq

from jobs.tuning import Refused, linkage
from jobs.tuning.knowledge.limits import Limits
from jobs.tuning.knowledge.readings_to_facts import travel_state
from jobs.tuning.knowledge.reasoning_input import TravelReading
from jobs.tuning.terms import End, TravelPlace
from jobs.tuning.travel import TravelFigures, travel_used

SHAFT, WHEEL, LEG = TravelPlace.SHOCK_SHAFT, TravelPlace.WHEEL, TravelPlace.FORK_LEG
REAR = TravelFigures(usable_mm=120, shaft_stroke_mm=60)
# s(z) = 0.45 z + 0.0005 z^2: progressive, 61.2 mm of shaft at 120 mm of wheel.
CURVE = linkage.quadratic(at_full_extension=0.45, per_mm=0.0005)


def test_41_mm_on_a_shaft_of_60_is_two_thirds_of_its_stroke_not_a_third_of_the_wheels_travel():
    used = travel_used(used_mm=41, place=SHAFT, figures=REAR)
    assert (used.usable_mm, used.converted) == (60, False)
    assert used.share == pytest.approx(0.6833, abs=1e-4)
    reading = TravelReading(End.REAR, used.used_mm, used.usable_mm, used.place)
    assert travel_state(reading, Limits()) == "right"


def test_the_same_41_mm_at_the_wheel_is_a_third_of_the_wheels_travel():
    used = travel_used(used_mm=41, place=WHEEL, figures=REAR)
    assert (used.usable_mm, round(used.share, 3)) == (120, 0.342)


def test_a_stroke_that_is_not_known_comes_from_the_wheels_travel_and_the_ratio():
    figures = TravelFigures(usable_mm=120, linkage=linkage.constant(motion_ratio=0.5))
    used = travel_used(used_mm=41, place=SHAFT, figures=figures)
    assert (used.usable_mm, used.converted, used.wheel_mm) == (60, True, pytest.approx(82))


def test_a_progressive_curve_is_not_taken_as_its_first_ratio():
    used = travel_used(used_mm=41, place=SHAFT, figures=TravelFigures(120, linkage=CURVE))
    assert used.usable_mm == pytest.approx(0.45 * 120 + 0.0005 * 120**2)
    second = brentq(lambda z: 0.45 * z + 0.0005 * z * z - 41, 0, 200)
    assert used.wheel_mm == pytest.approx(second, abs=1e-6)


def test_the_wheels_travel_comes_from_the_stroke_and_the_curve():
    figures = TravelFigures(shaft_stroke_mm=61.2, linkage=CURVE)
    used = travel_used(used_mm=60, place=WHEEL, figures=figures)
    assert used.usable_mm == pytest.approx(120, abs=1e-6)


# A rising-rate linkage measured to 100 mm of wheel: 50 mm of shaft there.
MEASURED = linkage.from_points(points=[(25, 11.3), (50, 23.5), (75, 36.4), (100, 50.0)])


def test_a_curve_is_used_up_to_its_last_measured_point():
    last = travel_used(
        used_mm=90, place=WHEEL, figures=TravelFigures(shaft_stroke_mm=50, linkage=MEASURED)
    )
    assert last.usable_mm == pytest.approx(100, abs=0.5)
    inside = travel_used(
        used_mm=23.5, place=SHAFT, figures=TravelFigures(shaft_stroke_mm=48, linkage=MEASURED)
    )
    assert inside.wheel_mm == pytest.approx(50, abs=0.5)


@pytest.mark.parametrize(
    ("place", "figures", "named"),
    [
        (WHEEL, TravelFigures(shaft_stroke_mm=60, linkage=MEASURED), "known up to 100 mm of wheel"),
        (SHAFT, TravelFigures(usable_mm=130, linkage=MEASURED), "known from 0 to 100 mm"),
    ],
)
def test_beyond_its_last_measured_point_a_curve_is_refused_by_name(place, figures, named):
    with pytest.raises(Refused, match=named):
        travel_used(used_mm=41, place=place, figures=figures)


def test_a_reading_beyond_the_curve_has_its_share_and_no_travel_of_the_wheel():
    figures = TravelFigures(shaft_stroke_mm=60, linkage=MEASURED)
    used = travel_used(used_mm=55, place=SHAFT, figures=figures)
    assert (round(used.share, 3), used.wheel_mm) == (0.917, None)


@pytest.mark.parametrize(
    ("place", "figures", "asked"),
    [
        ("", REAR, "on the shock's shaft or at the wheel?"),
        (SHAFT, TravelFigures(usable_mm=120), "Enter the usable stroke of the shock's shaft"),
        (SHAFT, TravelFigures(), "Enter the usable stroke of the shock's shaft"),
        (WHEEL, TravelFigures(shaft_stroke_mm=60), "Enter the wheel's usable travel"),
        (LEG, TravelFigures(), "Enter the usable travel of the fork."),
        ("saddle", REAR, "no place where travel is read"),
    ],
)
def test_without_what_it_needs_there_is_no_share_but_the_question(place, figures, asked):
    with pytest.raises(Refused) as refused:
        travel_used(used_mm=41, place=place, figures=figures)
    assert asked in str(refused.value)


def test_more_than_a_shaft_can_move_was_not_read_on_it():
    with pytest.raises(Refused, match="more than the 60 mm the shock's shaft can move"):
        travel_used(used_mm=84, place=SHAFT, figures=REAR)


def test_the_end_mark_bounds_what_a_ring_can_show():
    marked = TravelFigures(usable_mm=112, end_mark_mm=8)
    assert travel_used(used_mm=120, place=LEG, figures=marked).share > 1
    with pytest.raises(Refused, match="more than the 112 mm"):
        travel_used(used_mm=122, place=LEG, figures=marked)


@pytest.mark.parametrize("used_mm", [float("nan"), float("inf"), None, -1])
def test_what_is_no_travel_is_refused(used_mm):
    with pytest.raises(Refused):
        travel_used(used_mm=used_mm, place=SHAFT, figures=REAR)


def _state(end, share, pace, usable=120.0):
    place = LEG if end == End.FRONT else SHAFT
    reading = TravelReading(end, share * usable, usable, place)
    return travel_state(reading, Limits(pace=pace))


def test_a_quick_riders_fork_at_90_percent_is_right_and_a_novices_is_far():
    assert _state(End.FRONT, 0.90, "quick") == "right"
    assert _state(End.FRONT, 0.90, "") == "far"
    assert _state(End.FRONT, 0.90, "novice") == "far"


def test_less_is_meant_to_be_used_at_the_rear_than_at_the_front():
    assert _state(End.REAR, 0.62, "") == "right"
    assert _state(End.FRONT, 0.62, "") == "short"


def test_a_band_of_the_business_takes_the_place_of_the_usual_one():
    own = Limits(pace="quick", own_bands={"travel_front_quick": (80, 97)})
    assert travel_state(TravelReading(End.FRONT, 115.0, 120.0), own) == "right"


def test_the_end_of_a_shaft_is_nearer_than_the_end_of_a_leg():
    assert _state(End.FRONT, 57.5 / 60, "", usable=60.0) == "end"
    assert _state(End.REAR, 57.5 / 60, "", usable=60.0) == "far"
    assert _state(End.REAR, 59 / 60, "", usable=60.0) == "end"
