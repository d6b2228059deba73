"""Values on an edge: the last that counts, no scatter, a range that does not begin at zero."""

import math

import pytest

from jobs.tuning import damping, linkage, viscosity_index, wear
from jobs.tuning.checks import CHECKS
from jobs.tuning.damping.motion import peaks, trace
from jobs.tuning.pace import Lap, outing_pace
from jobs.tuning.practice import PRACTICES
from jobs.tuning.refusal import Refused
from jobs.tuning.terms import TravelPlace
from jobs.tuning.travel import TravelFigures, travel_used


def test_no_check_is_so_wide_that_it_says_nothing():
    """At most a tenth of the expected value, or 0.01 where that value is zero."""
    for check in CHECKS:
        if not check.refusal:
            size = 1.0 if check.relative else abs(check.expected) or 0.1
            assert check.tolerance <= 0.1 * size, check.what


def test_swings_go_up_and_down_in_turn():
    found = peaks(push_mm=40, zeta_rebound=0.3, zeta_compression=0.2, count=6)
    assert [math.copysign(1, size) for size in found] == [1, -1, 1, -1, 1, -1]


def test_a_drawn_swing_passes_rest_by_the_overshoot_ratio_half_a_period_later():
    """x_max / x_0 = exp(-pi zeta / sqrt(1 - zeta^2)); Rao, Mechanical Vibrations, ch. 2,
    from memory."""
    zeta, hz = 0.2, 2.0
    half_period = math.pi / (2 * math.pi * hz * math.sqrt(1 - zeta**2))
    drawn = trace(zeta=zeta, natural_hz=hz, seconds=half_period, points=5)
    assert len(drawn) == 5
    assert drawn[-1] == (pytest.approx(half_period), pytest.approx(
        math.exp(-math.pi * zeta / math.sqrt(1 - zeta**2))))  # fmt: skip


def test_a_push_that_never_passes_rest_gives_no_single_damping_ratio():
    found = damping.from_overshoot(drop_mm=40, overshoot_mm=0)
    assert (found.zeta, found.high) == (None, None)
    assert found.low > 0.5


def test_a_lap_exactly_on_the_outlier_score_is_clean_and_not_dropped():
    """0.6745 x 7 / 1.349 is 3.5, the score of Iglewicz and Hoaglin beyond which a lap is off."""
    laps = [Lap(seconds) for seconds in (100.0, 100.0, 100.0, 107.0)]
    found = outing_pace(laps=laps, resolution_s=1.349)
    assert (found.clean, found.dropped) == ((100.0, 100.0, 100.0, 107.0), ())


def test_the_usual_rise_of_pressures_is_two_habits_for_each_end():
    """Common practice, no source; the figures are from memory."""
    assert PRACTICES["rise_front"].bands == ((2, 4), (3, 4))
    assert PRACTICES["rise_rear"].bands == ((5, 7), (6, 8))


def test_half_a_millimetre_past_the_last_measured_point_is_the_same_stroke():
    curve = linkage.from_points(points=[(0, 0), (20, 9.2), (40, 18.8), (60, 28.8), (80, 39.2)])
    last = curve.known_to_mm

    def at_wheel(past_mm):
        figures = TravelFigures(shaft_stroke_mm=curve.stroke(last) + past_mm, linkage=curve)
        return travel_used(used_mm=40, place=TravelPlace.WHEEL, figures=figures)

    assert at_wheel(0.5).usable_mm == last
    with pytest.raises(Refused, match="known up to"):
        at_wheel(0.51)


def test_a_viscosity_at_100_degrees_close_to_that_at_40_is_found_again():
    index = viscosity_index.index_of(3.0, 2.2)
    assert viscosity_index.viscosity_at_100(3.0, index) == pytest.approx(2.2)


def test_two_lines_that_are_the_same_without_scatter_show_no_difference():
    line = wear.least_squares(xs=range(6), ys=(4.0, 3.75, 3.5, 3.25, 3.0, 2.75))
    found = wear.compare(before=line, after=line)
    assert found.difference.low == found.difference.high == 0
    assert found.says.startswith("No difference shown")
