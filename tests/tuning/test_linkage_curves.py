"""Rear sag on measured linkage curves: the first root within what was measured, or a refusal."""

import random

import pytest

from jobs.tuning import Refused, linkage, sag, springs

CURVES = 2000


def _measured(rng):
    """Wheel and shock as they are measured: every 8-25 mm, read to 0.1 mm, up to 0.3 mm wrong."""
    travel, start = rng.uniform(90, 150), rng.uniform(0.33, 0.65)
    rise, bow = rng.uniform(-0.1, 0.4) * start, rng.uniform(-0.08, 0.08) * start
    step, error = rng.choice((8, 10, 12, 15, 20, 25)), rng.choice((0, 0.1, 0.2, 0.3))
    points, z = [], float(step)
    while z < travel:
        u = z / travel
        true = travel * (start * u + rise * u * u / 2 + bow * (u * u / 2 - u**3 / 3))
        points.append((z, round(true + rng.uniform(-error, error), 1)))
        z += step
    return points


def _first_root(np, curve, force, rate, preload, last):
    """The lowest real root of the polynomial in 0..last by numpy's eigenvalues; None: no root."""
    stroke = np.polynomial.Polynomial([0.0, *curve.coefficients])
    surplus = rate * (stroke + preload) * stroke.deriv() - force
    if surplus(0.0) >= 0:
        return 0.0
    real = [r.real for r in surplus.roots() if abs(r.imag) < 1e-7 and -1e-9 <= r.real <= last]
    return min(real, default=None)


def test_no_curve_is_refused_wrongly_answered_beyond_or_answered_wrongly():
    np = pytest.importorskip("numpy")
    optimize = pytest.importorskip("scipy.optimize")
    rng = random.Random(22)
    answered = beyond = 0
    for _ in range(CURVES):
        points = _measured(rng)
        force, rate = rng.uniform(500, 1900), rng.uniform(70, 160)
        preload, last = rng.uniform(0, 20), points[-1][0]
        curve = linkage.from_points(points=points)
        wanted = _first_root(np, curve, force, rate, preload, last)
        values = {"wheel_force_n": force, "shock_n_per_mm": rate, "preload_mm": preload}
        if wanted is None:
            beyond += 1
            with pytest.raises(Refused, match=f"past {last:g} mm"):
                springs.rear_equilibrium(linkage=curve, **values)
            continue
        answered += 1
        ours = springs.rear_equilibrium(linkage=curve, **values)
        assert ours == pytest.approx(wanted, abs=1e-6)
        if ours:

            def surplus(z, curve=curve, rate=rate, preload=preload, force=force):
                return rate * (curve.stroke(z) + preload) * curve.ratio(z) - force

            assert ours == pytest.approx(optimize.brentq(surplus, ours - 1, ours + 1), abs=1e-6)
    assert answered + beyond == CURVES
    assert beyond > 20
    assert answered > 1800


def test_a_cubic_that_turns_back_beyond_its_last_point_is_not_followed():
    points = [(20, 11.6), (40, 22.3), (60, 31.6), (80, 39.2), (100, 45.0)]
    curve = linkage.from_points(points=points)
    assert (curve.ratio(200) < 0, curve.known_to_mm) == (True, 100)
    values = {"shock_n_per_mm": 95, "linkage": curve, "preload_mm": 10}
    assert 0 < springs.rear_equilibrium(wheel_force_n=900, **values) < 100
    with pytest.raises(Refused, match="past 100 mm, and the linkage is known only up to there"):
        springs.rear_equilibrium(wheel_force_n=4000, **values)


def test_of_two_places_where_it_would_rest_the_first_from_full_extension_is_taken():
    """A linkage of falling rate carries this force twice within its 100 mm, near 32 and 81 mm."""
    falling = linkage.quadratic(at_full_extension=0.6, per_mm=-0.002)
    assert falling.known_to_mm == pytest.approx(100)
    rests = springs.rear_equilibrium(
        wheel_force_n=1200, shock_n_per_mm=100, linkage=falling, preload_mm=10
    )

    def carried(z):
        return 100 * (falling.stroke(z) + 10) * falling.ratio(z)

    assert 0 < rests < 40
    assert carried(rests) == pytest.approx(1200)
    assert carried(75) > 1200 > carried(90)  # the second place is there, and not taken


def test_nothing_is_computed_beyond_the_last_point():
    curve = linkage.from_points(points=[(20, 9.2), (40, 18.8), (60, 28.8)])
    beyond = {"linkage": curve, "wheel_travel_mm": 61}
    with pytest.raises(Refused, match="known from 0 to 60 mm"):
        springs.rear_wheel_rate(shock_n_per_mm=95, **beyond)
    with pytest.raises(Refused, match="known from 0 to 60 mm"):
        sag.rear_preload_effect(preload_change_mm=1, **beyond)
    with pytest.raises(Refused, match="rider sag: 61 mm"):
        springs.required_rear_rate(
            bike_force_n=700, rider_force_n=1300, free_mm=10, rider_mm=61, linkage=curve
        )


def test_a_curve_that_is_none_is_refused():
    with pytest.raises(Refused, match="begins at full extension"):
        linkage.from_points(points=[(-5, -2), (20, 9.2), (40, 18.8)])
    with pytest.raises(Refused, match="begins at full extension"):
        linkage.from_points(points=[(0, 3), (20, 9.2), (40, 18.8)])
    with pytest.raises(Refused, match="two numbers"):
        linkage.from_points(points=[(20, 9.2, 1), (40, 18.8, 2)])


def test_a_ratio_that_is_given_is_known_as_far_as_it_stays_possible():
    falling = linkage.quadratic(at_full_extension=0.5, per_mm=-0.001)
    assert falling.known_to_mm == pytest.approx(150)
    assert falling.ratio(falling.known_to_mm) == pytest.approx(linkage.LOWEST_RATIO)
    assert linkage.quadratic(at_full_extension=0.5, per_mm=0).known_to_mm == 400
