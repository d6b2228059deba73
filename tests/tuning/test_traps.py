"""Common mistakes at a trackday: each is refused, or shown to change the result."""

import math

import pytest

from jobs.tuning import (
    AskAgain,
    Refused,
    clicks,
    damping,
    geometry,
    linkage,
    load,
    sag,
    springs,
    tyres,
    wear,
)
from jobs.tuning.units import to_canonical


def test_gauge_ratio_for_absolute():
    """Scaling the gauge pressure by the temperatures gives 190.9 in place of 173.7 kPa."""
    right = tyres.cold_for_hot(hot_kpa_gauge=230, hot_c=80, set_c=20)
    wrong = 230 * 293.15 / 353.15
    assert (round(right, 1), round(wrong, 1)) == (173.7, 190.9)


def test_sea_level_for_station_pressure():
    answer = tyres.set_pressure(
        cold_kpa_gauge=180, cold_c=20, hot_measured_kpa_gauge=240, hot_target_kpa_gauge=230,
        expected_c=20, maker_ranges=(tyres.MakerRange(150, 200, "cold"),), altitude_m=900,
    )  # fmt: skip
    assert any("looks like sea-level pressure" in caution for caution in answer.cautions)
    at_height = tyres.station_pressure(altitude_m=900)
    better = tyres.set_pressure(
        cold_kpa_gauge=180, cold_c=20, hot_measured_kpa_gauge=240, hot_target_kpa_gauge=230,
        expected_c=20, maker_ranges=(tyres.MakerRange(150, 200, "cold"),), altitude_m=900,
        station_kpa=at_height,
    )  # fmt: skip
    assert not any("sea-level" in caution for caution in better.cautions)
    assert better.set_kpa_gauge != pytest.approx(answer.set_kpa_gauge, abs=0.05)


def test_clicks_in_for_clicks_out():
    """8 in from open of 20 is 12 out; read as 8 out, three firmer lands on the wrong click."""
    out = clicks.out_from_closed(position=8, origin="open", counted_range=20)
    scale = {"steps": 3, "firmer": True, "lowest": 0, "highest": 20}
    right = clicks.position_after(position=out, firming="down", **scale)
    assert (out, right) == (12, 9)
    assert clicks.position_after(position=8, firming="up", **scale) == 20 - right
    with pytest.raises(Refused, match="from the other end"):
        clicks.out_from_closed(position=22, origin="closed", counted_range=20)
    with pytest.raises(Refused, match="Never force an end"):
        clicks.position_after(position=2, firming="down", **scale)
    with pytest.raises(Refused, match="not counted from an end"):
        clicks.out_from_closed(position=3, origin="mark", counted_range=20)


def test_push_and_lift_readings_swapped():
    with pytest.raises(Refused, match="swapped"):
        sag.measure(hanging_mm=127, after_push_mm=101, after_lift_mm=95, travel_mm=120, end="front")


@pytest.mark.parametrize(
    ("typed", "end", "meant"),
    [(0.95, "front", "9.32 N/mm"), (55, "front", "9.63 N/mm"), (9.7, "rear", "95.12 N/mm"),
     (540, "rear", "94.57 N/mm")],
)  # fmt: skip
def test_a_rate_in_another_unit_typed_as_n_per_mm(typed, end, meant):
    with pytest.raises(AskAgain, match=meant):
        springs.checked_rate(rate_n_per_mm=typed, end=end)
    assert springs.checked_rate(rate_n_per_mm=typed, end=end, sure=True) == typed


def test_a_rate_without_a_unit():
    with pytest.raises(Refused, match="A unit is missing"):
        to_canonical(value=0.95, unit="", quantity="rate")


def test_motion_ratio_inverted():
    with pytest.raises(Refused, match=r"inverse ratio.*0\.500"):
        linkage.constant(motion_ratio=2.0)


def test_progressive_linkage_as_linear():
    """With the ratio at full extension taken as constant the sag is 4 mm out."""
    curve = linkage.quadratic(at_full_extension=0.45, per_mm=0.0005)
    flat = linkage.constant(motion_ratio=0.45)
    values = {"wheel_force_n": 1300, "shock_n_per_mm": 95, "preload_mm": 10}
    progressive = springs.rear_equilibrium(linkage=curve, **values)
    linear = springs.rear_equilibrium(linkage=flat, **values)
    assert linear - progressive > 4
    effect = sag.rear_preload_effect(
        preload_change_mm=2, linkage=curve, wheel_travel_mm=progressive, preload_mm=10
    )
    exact = springs.rear_equilibrium(linkage=curve, **{**values, "preload_mm": 12}) - progressive
    assert effect.vertical_mm == pytest.approx(exact, abs=0.1)
    assert abs(-2 / curve.ratio(progressive) - exact) > 0.3


def test_fork_rate_divided_by_cos_squared_not_times():
    rate = springs.fork_wheel_rate(pair_n_per_mm=19, rake_deg=24)
    assert rate > 19 > 19 * math.cos(math.radians(24)) ** 2


def test_coil_outside_for_mean_diameter():
    outside = 24.75
    mean = springs.mean_diameter(outside_mm=outside, wire_mm=2.5)
    right = springs.coil_rate(wire_mm=2.5, mean_diameter_mm=mean, active_coils=16)
    wrong = springs.coil_rate(wire_mm=2.5, mean_diameter_mm=outside, active_coils=16)
    assert right / wrong == pytest.approx((outside / mean) ** 3)
    assert right / wrong > 1.3


def test_ride_frequency_from_sag():
    """Preload makes sag smaller; the frequency of rate and mass does not move."""
    rate, mass = 22.766, 98.0
    true = load.ride_frequency_hz(wheel_rate_n_per_mm=rate, sprung_kg=mass)
    force = mass * 9.80665
    from_sag = [
        math.sqrt(9.80665 / (springs.fork_leg_sag(
            wheel_force_n=force, pair_n_per_mm=19, preload_mm=preload, rake_deg=24
        ) / 1000)) / (2 * math.pi)
        for preload in (10, 25)
    ]  # fmt: skip
    assert from_sag[1] - from_sag[0] > 0.3
    assert all(abs(f - true) > 0.15 for f in from_sag)


def test_push_measured_from_the_wrong_height():
    seen = damping.from_heights(settled_mm=700, bottom_mm=660, top_mm=708)
    from_top_out = damping.from_overshoot(drop_mm=730 - 660, overshoot_mm=8)
    right = damping.from_overshoot(drop_mm=seen.drop_mm, overshoot_mm=seen.overshoot_mm)
    assert from_top_out.zeta - right.zeta > 0.1
    with pytest.raises(Refused, match="settled height"):
        damping.from_heights(settled_mm=730, bottom_mm=660, top_mm=708)


def test_stiction_ignored():
    with_it = damping.from_overshoot(drop_mm=40, overshoot_mm=10.776, stiction_band_mm=6)
    without = damping.from_overshoot(drop_mm=40, overshoot_mm=10.776)
    assert without.zeta - with_it.zeta > 0.08
    assert any("Stiction" in caution for caution in without.cautions)
    assert with_it.cautions == ()


def test_rake_from_the_horizontal():
    with pytest.raises(Refused, match="24 deg from the vertical"):
        geometry.trail(rake_deg=66, offset_mm=30, wheel_radius_mm=300)


def test_wear_at_another_place():
    depths = [wear.Depth(i, 4 - i * 0.3, place="centre" if i < 3 else "edge") for i in range(5)]
    with pytest.raises(Refused, match="place on the tyre changed"):
        wear.wear_line(depths=depths)


def test_two_point_three_kilopascals():
    with pytest.raises(Refused, match="230 kPa"):
        tyres.hot_from_cold(cold_kpa_gauge=2.3, cold_c=20, hot_c=80)
    with pytest.raises(Refused, match="psi"):
        tyres.hot_from_cold(cold_kpa_gauge=33, cold_c=20, hot_c=80)
