"""How far a ring and a sag move, against scipy and the closed form of a small step.

The expected figures are those of a feasibility study of ours with simulated bikes.
"""

import math
from dataclasses import replace

import pytest
from scipy.optimize import brentq

from jobs.tuning import Refused, linkage, load
from jobs.tuning.checks import CHECKS
from jobs.tuning.outlook import (
    EndChange,
    EndSpring,
    Usual,
    fork_spring,
    nearest_parts,
    needed,
    parts_for,
    ring_shift,
    sag_shift_mm,
    shock_spring,
)
from jobs.tuning.terms import End

P0 = 0.101325
FORK = EndSpring(End.FRONT, 19, 20, air=load.AirSpring(1300, 286, 1.2))
SHOCK = EndSpring(End.REAR, 95, 10, linkage=linkage.quadratic(at_full_extension=0.46, per_mm=4e-4))


def axial(x, rate=19.0, preload=20.0, volume=286_000.0):
    air = 2 * P0 * 1300 * ((volume / (volume - 1300 * x)) ** 1.2 - 1)
    return rate * (x + preload) + air


def at_the_wheel(z, rate=95.0, preload=10.0):
    return rate * (0.46 * z + 0.0004 * z * z + preload) * (0.46 + 0.0008 * z)


def expected(code):
    (check,) = [check for check in CHECKS if check.code == code and check.topic == "outlook"]
    return check.expected, check.tolerance


def test_a_mm_of_fork_preload_by_the_closed_form_and_by_scipy():
    step = 1e-4
    air_rate = (axial(100 + step) - axial(100 - step)) / (2 * step)
    moved = brentq(lambda x: axial(x, preload=20.01) - axial(100), 50, 120, xtol=1e-13) - 100
    wanted, tolerance = expected("k1")
    assert -19 / air_rate == pytest.approx(wanted, abs=tolerance)
    assert moved / 0.01 == pytest.approx(wanted, abs=tolerance)


def test_a_mm_of_shock_preload_by_the_closed_form_and_by_scipy():
    def shaft(z):
        return 0.46 * z + 0.0004 * z * z

    z = brentq(lambda z: shaft(z) - 28, 0, 120)
    load_there = at_the_wheel(z)
    after = brentq(lambda z: at_the_wheel(z, preload=10.01) - load_there, 0, 120, xtol=1e-13)
    ratio = 0.46 + 0.0008 * z
    wanted, tolerance = expected("k2")
    assert -(ratio**2) / (ratio**2 + 38 * 0.0008) == pytest.approx(wanted, abs=tolerance)
    assert (shaft(after) - 28) / 0.01 == pytest.approx(wanted, abs=tolerance)


def test_the_air_of_both_legs_at_rest_by_differences():
    volume, step = 286_000.0, 0.01

    def air(x):
        return 2 * P0 * 1300 * ((volume / (volume - 1300 * x)) ** 1.4 - 1)

    # A central difference of the fourth order.
    slope = (air(-2 * step) - 8 * air(-step) + 8 * air(step) - air(2 * step)) / (12 * step)
    wanted, tolerance = expected("k3")
    assert slope == pytest.approx(wanted, abs=tolerance)
    assert 2 * 1.4 * P0 * 1300**2 / volume == pytest.approx(wanted, abs=tolerance)


@pytest.mark.parametrize(
    ("change", "again"),
    [
        (EndChange(preload_mm=6), {"preload": 26.0}),
        (EndChange(rate_n_per_mm=2), {"rate": 21.0}),
        (EndChange(oil_level_mm=10), {"volume": 273_000.0}),
        (EndChange(-4, 1, 5), {"preload": 16.0, "rate": 20.0, "volume": 279_500.0}),
    ],
)
def test_any_mix_of_changes_at_a_fork_by_scipy(change, again):
    got = ring_shift(spring=FORK, change=change, ring_mm=96, usable_mm=120)
    moved = brentq(lambda x: axial(x, **again) - axial(96), 20, 150, xtol=1e-12) - 96
    assert got.mm == pytest.approx(moved, abs=1e-9)
    assert got.sd_mm == pytest.approx(0.1 * abs(moved))
    assert got.cautions == ()


# Of simulated bikes: the means over 48 of them, so no bike of ours must meet them closely.
@pytest.mark.parametrize(
    ("change", "low", "high"),
    [
        (EndChange(preload_mm=3), -2.6, -2.1),
        (EndChange(preload_mm=6), -5.1, -4.4),
        (EndChange(rate_n_per_mm=1), -5.5, -4.5),
        (EndChange(rate_n_per_mm=2), -10.5, -8.9),
        (EndChange(oil_level_mm=10), -1.6, -0.7),
    ],
)
def test_the_usual_changes_of_a_fork_move_its_ring_as_the_simulated_bikes(change, low, high):
    usual = fork_spring(pair_n_per_mm=19, preload_mm=25)
    got = ring_shift(spring=usual, change=change, ring_mm=100, usable_mm=122)
    assert low < got.mm < high


def test_the_sag_of_a_fork_moves_by_less_than_its_preload_and_that_of_a_wheel_by_twice():
    assert sag_shift_mm(spring=FORK, change=EndChange(preload_mm=1), sag_mm=34) == pytest.approx(
        -0.92, abs=0.02
    )
    assert sag_shift_mm(spring=SHOCK, change=EndChange(preload_mm=1), sag_mm=32) == pytest.approx(
        -1.9, abs=0.1
    )


def test_what_usual_figures_stand_in_for_is_said_and_widens_the_doubt():
    known = shock_spring(shock_n_per_mm=95, preload_mm=9, linkage=SHOCK.linkage)
    swap = EndChange(rate_n_per_mm=5)
    sure = ring_shift(spring=known, change=swap, ring_mm=28, usable_mm=60)
    guess = ring_shift(spring=shock_spring(), change=swap, ring_mm=28, usable_mm=60)
    assert (sure.cautions, len(guess.cautions)) == ((), 3)
    assert guess.sd_mm / abs(guess.mm) == pytest.approx(0.15)
    oil = ring_shift(
        spring=fork_spring(pair_n_per_mm=19, preload_mm=20),
        change=EndChange(oil_level_mm=10), ring_mm=96, usable_mm=120,
    )  # fmt: skip
    assert "usual air was taken" in oil.cautions[0]
    assert oil.sd_mm / abs(oil.mm) == pytest.approx(0.2)


def test_one_motion_ratio_without_a_curve_says_that_the_shift_is_too_large():
    flat = replace(SHOCK, linkage=linkage.constant(motion_ratio=0.5))
    preload = EndChange(preload_mm=4)
    bent = ring_shift(spring=SHOCK, change=preload, ring_mm=28, usable_mm=60)
    straight = ring_shift(spring=flat, change=preload, ring_mm=28, usable_mm=60)
    assert abs(straight.mm) / abs(bent.mm) > 1.08
    assert "10 to 14 % too large" in straight.cautions[-1]


@pytest.mark.parametrize(
    ("spring", "change", "named"),
    [
        (FORK, EndChange(preload_mm=-21), "preload"),
        (FORK, EndChange(rate_n_per_mm=-19), "spring rate"),
        (FORK, EndChange(oil_level_mm=300), "air in one leg"),
        (SHOCK, EndChange(oil_level_mm=5), "air of a fork"),
    ],
)
def test_a_change_that_cannot_be_is_refused_by_name(spring, change, named):
    with pytest.raises(Refused, match=named):
        ring_shift(spring=spring, change=change, ring_mm=28, usable_mm=120)


def test_a_softer_spring_cannot_show_more_than_the_travel():
    got = ring_shift(spring=FORK, change=EndChange(rate_n_per_mm=-6), ring_mm=104, usable_mm=120)
    assert got.mm == 16
    assert "cannot show more" in got.cautions[-1]


def test_each_way_to_an_aim_brings_the_ring_there():
    ways = needed(spring=FORK, ring_mm=104, aim_mm=96, usable_mm=120, sag_mm=34)
    for way in ways:
        got = ring_shift(spring=FORK, change=way.change, ring_mm=104, usable_mm=120)
        assert got.mm == pytest.approx(-8, abs=1e-6)
        assert way.ring_moves_mm == pytest.approx(-8, abs=1e-6)
    preload, springs, kept = ways
    assert preload.change.rate_n_per_mm == springs.change.preload_mm == 0
    assert (kept.keeps_sag, kept.sag_moves_mm) == (True, pytest.approx(0, abs=1e-6))
    assert springs.sag_moves_mm < -1


def test_each_way_at_a_shock_brings_the_ring_there():
    ways = needed(spring=SHOCK, ring_mm=30, aim_mm=27, usable_mm=60, sag_mm=32)
    assert [round(way.ring_moves_mm, 6) for way in ways] == [-3, -3, -3]
    assert ways[2].sag_moves_mm == pytest.approx(0, abs=1e-6)


def test_a_way_that_cannot_be_is_left_out():
    """A ring 30 mm further in: no preload is left to take off."""
    ways = needed(spring=replace(FORK, preload_mm=2), ring_mm=80, aim_mm=106, usable_mm=120)
    assert [way.change.rate_n_per_mm < 0 for way in ways] == [True]


def test_a_spring_of_the_van_is_of_one_leg_at_the_front_and_whole_at_the_rear():
    front = parts_for(
        spring=FORK, ring_mm=100, usable_mm=120, in_stock_n_per_mm=[10, 10.5], sag_mm=34
    )
    assert [way.part_n_per_mm for way in front] == [10, 10, 10.5, 10.5]
    assert [way.change.rate_n_per_mm for way in front] == [1, 1, 2, 2]
    assert [way.keeps_sag for way in front] == [False, True, False, True]
    (rear,) = parts_for(spring=SHOCK, ring_mm=28, usable_mm=60, in_stock_n_per_mm=[100])
    assert rear.change.rate_n_per_mm == 5


def test_the_spring_that_comes_nearest_to_an_aim_is_named_first():
    """Told apart from the rates alone: 9 would move the ring away, 9.5 is what is fitted."""
    parts = parts_for(
        spring=FORK, ring_mm=104, usable_mm=120, in_stock_n_per_mm=[9, 9.5, 10, 10.5, 11, 12],
        sag_mm=34,
    )  # fmt: skip
    first, second = nearest_parts(parts=parts, ring_mm=104, aim_mm=96)
    assert (first.n_per_mm, second.n_per_mm) == (10.5, 10)
    assert abs(first.misses_mm) < abs(second.misses_mm) < 8
    assert first.misses_mm == pytest.approx(104 + first.preload_of_now.ring_moves_mm - 96)
    assert first.sag_kept.sag_moves_mm == pytest.approx(0, abs=1e-6)
    softer = nearest_parts(parts=parts, ring_mm=104, aim_mm=110)
    assert [one.n_per_mm for one in softer] == [9]
    assert nearest_parts(parts=parts, ring_mm=104, aim_mm=104.5) == ()


def test_at_the_end_of_the_travel_nothing_is_worked_out_from_an_aim():
    with pytest.raises(Refused, match="the ring hides what is missing"):
        needed(spring=FORK, ring_mm=112, aim_mm=100, usable_mm=120)


def test_a_usual_figure_has_its_words():
    from jobs.tuning.outlook.end_spring import USUAL_WORDS

    assert set(USUAL_WORDS) == set(Usual)
    assert math.isclose(fork_spring().force_n(0), 19 * 25)
