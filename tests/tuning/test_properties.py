"""Properties for any numbers: inverses, monotone directions, a refusal instead of an exception."""

import math

from hypothesis import assume, given
from hypothesis import strategies as st

from jobs.tuning import (
    Refused,
    damping,
    evidence,
    geometry,
    linkage,
    oil,
    pace,
    sag,
    springs,
    tyres,
    units,
    wear,
)
from jobs.tuning.pace.outing import critical_count
from jobs.tuning.solve import root
from jobs.tuning.terms import Verdict


def between(low, high):
    return st.floats(low, high, allow_nan=False)


gauge = between(100, 300)
air = between(75, 105)
degrees = between(-15, 120)
rake = between(15, 45)
anything = st.one_of(st.floats(), st.integers(-1000, 1000), st.none())


def close(a, b, rel=1e-9, abs_=1e-9):
    return math.isclose(a, b, rel_tol=rel, abs_tol=abs_)


@given(gauge, degrees, degrees, air)
def test_cold_to_hot_to_cold(pressure, one, other, station):
    values = {"station_kpa": station}
    there = tyres.gas_law(kpa_gauge=pressure, from_c=one, to_c=other, **values)
    assume(50 <= there <= 400)
    assert close(tyres.gas_law(kpa_gauge=there, from_c=other, to_c=one, **values), pressure)


@given(gauge, degrees, degrees, degrees)
def test_a_hotter_tyre_has_a_higher_pressure(pressure, cold, one, other):
    low, high = sorted((one, other))
    assert tyres.hot_from_cold(cold_kpa_gauge=pressure, cold_c=cold, hot_c=low) <= (
        tyres.hot_from_cold(cold_kpa_gauge=pressure, cold_c=cold, hot_c=high)
    )


@given(gauge, between(0, 80), gauge, air)
def test_a_target_equal_to_the_measurement_changes_nothing(cold, rise, target, station):
    hot = min(400.0, cold + rise)
    values = {"cold_kpa_gauge": cold, "hot_measured_kpa_gauge": hot, "station_kpa": station}
    assert close(tyres.corrected_cold(hot_target_kpa_gauge=hot, **values), cold)
    wanted = tyres.corrected_cold(hot_target_kpa_gauge=target, **values)
    assert (wanted < cold) == (target < hot) or close(wanted, cold, abs_=1e-6)


@given(rake, between(-20, 100), between(200, 400))
def test_trail_to_offset_to_trail(angle, offset, radius):
    ground = geometry.trail(rake_deg=angle, offset_mm=offset, wheel_radius_mm=radius)
    back = geometry.offset_for_trail(rake_deg=angle, trail_mm=ground, wheel_radius_mm=radius)
    assert close(back, offset, abs_=1e-8)


@given(between(18, 40), between(0, 60), between(1200, 1700), between(-20, 20), between(0.5, 20))
def test_lowering_the_front_steepens_and_shortens(angle, offset, base, rear, tubes):
    bike = geometry.ChassisGeometry(angle, offset, base, 300, 320)
    lower = geometry.change(chassis=bike, tubes_through_mm=tubes)
    assert lower.rake_change_deg < 0
    assert lower.trail_change_mm < 0
    same = geometry.change(chassis=bike)
    assert close(same.rake_change_deg, 0, abs_=1e-9)
    raised = geometry.change(chassis=bike, rear_vertical_mm=-tubes)
    assert raised.rake_change_deg < 0


@given(between(2, 14), between(5, 18), between(3, 40))
def test_rate_from_coil_and_back(wire, index, coils):
    values = {"wire_mm": wire, "mean_diameter_mm": wire * index}
    rate = springs.coil_rate(active_coils=coils, **values)
    assert close(springs.coils_for_rate(rate_n_per_mm=rate, **values), coils)


@given(between(10, 30), between(0, 40), rake, between(600, 1000), between(200, 900))
def test_required_rate_gives_the_sags_back(rate, preload, angle, bike, rider):
    values = {"pair_n_per_mm": rate, "preload_mm": preload, "rake_deg": angle}
    free = springs.fork_leg_sag(wheel_force_n=bike, **values)
    with_rider = springs.fork_leg_sag(wheel_force_n=bike + rider, **values)
    assume(free > 0.1 and with_rider - free > 5.1)
    need = springs.required_fork_rate(
        bike_force_n=bike,
        rider_force_n=bike + rider,
        free_leg_mm=free,
        rider_leg_mm=with_rider,
        rake_deg=angle,
    )
    assert close(need.rate_n_per_mm, rate, rel=1e-6)
    assert close(need.preload_mm, preload, abs_=1e-6)


@given(between(0.35, 0.7), between(0, 0.001), between(800, 2000), between(60, 160))
def test_more_preload_is_less_sag_and_the_derivative_says_how_much(first, bend, force, rate):
    curve = linkage.quadratic(at_full_extension=first, per_mm=bend)
    values = {"wheel_force_n": force, "shock_n_per_mm": rate, "linkage": curve}
    here = springs.rear_equilibrium(preload_mm=10, **values)
    there = springs.rear_equilibrium(preload_mm=10.001, **values)
    assume(there > 0)
    effect = sag.rear_preload_effect(
        preload_change_mm=0.001, linkage=curve, wheel_travel_mm=here, preload_mm=10
    )
    assert effect.vertical_mm < 0
    assert close(there - here, effect.vertical_mm, rel=1e-3)


@given(between(80, 200), between(0, 60), between(0, 12))
def test_sag_lies_between_the_two_readings(hanging, down, band):
    push = hanging - down - band
    assume(push > 1)
    found = sag.measure(
        hanging_mm=hanging, after_push_mm=push, after_lift_mm=push + band, travel_mm=130, end="rear"
    )
    assert down - 1e-9 <= found.sag_mm <= down + band + 1e-9
    assert close(found.stiction_band_mm, band, abs_=1e-9)


@given(between(0.02, 0.98))
def test_zeta_to_overshoot_to_zeta(zeta):
    ratio = damping.overshoot_ratio(zeta=zeta)
    assume(ratio > 1e-3)
    back = damping.from_overshoot(drop_mm=1000, overshoot_mm=1000 * ratio)
    assert close(back.zeta, zeta, rel=1e-9)
    assert back.low <= back.zeta


@given(between(1.05, 20), between(1, 4))
def test_zeta_to_time_to_zeta(zeta, hertz):
    seconds = damping.return_time(zeta=zeta, natural_hz=hertz)
    assume(seconds >= 0.16)
    back = damping.from_return_time(seconds=seconds, natural_hz=hertz)
    assert close(back.zeta, zeta, rel=1e-6)


@given(st.integers(0, 6))
def test_more_swings_is_less_damping(swings):
    fewer, more = damping.from_swings(swings=swings), damping.from_swings(swings=swings + 1)
    assert more.high == fewer.low
    assert more.low < fewer.low
    assert fewer.zeta is None


@given(between(5, 300), between(80, 250), between(-20, 120), between(1, 20))
def test_oil_thins_and_the_index_comes_back(at_40, index, celsius, step):
    from jobs.tuning.viscosity_index import index_of, viscosity_at_100

    try:
        at_100 = viscosity_at_100(at_40, index)
    except Refused:
        return
    assume(at_100 > 2.01)
    assert close(index_of(at_40, at_100), index, rel=1e-5)
    line = oil.line_through(low_c=40, low_cst=at_40, high_c=100, high_cst=at_100)
    assert line.at(celsius) > line.at(celsius + step)


@given(
    between(0.01, 500), st.sampled_from(sorted(units.UNITS)), st.sampled_from(sorted(units.UNITS))
)
def test_units_go_there_and_back(value, one, other):
    if units.UNITS[one].quantity != units.UNITS[other].quantity:
        return
    there = units.convert(value=value, unit=one, to=other)
    assert close(units.convert(value=there, unit=other, to=one), value, rel=1e-12, abs_=1e-9)


@given(between(0.1, 0.5), between(3, 9), st.integers(4, 12), st.integers(0, 5))
def test_an_exact_line_is_found_and_carried_forward(slope, start, n, shift):
    xs = [i + shift for i in range(n)]
    line = wear.least_squares(xs=xs, ys=[start - slope * x for x in xs])
    assert close(line.slope, -slope, rel=1e-9)
    at = wear.index_at(line=line, limit_mm=0.0)
    assert close(at.value, start / slope, rel=1e-7)
    assert at.low <= at.value + 1e-9
    assert at.value <= at.high + 1e-9


@given(st.lists(between(90, 110), min_size=4, max_size=12), between(-6, 6))
def test_pace_shift_of_a_shift(laps, shift):
    found = pace.hodges_lehmann(before=laps, after=[s + shift for s in laps])
    assert close(found.shift_s, shift, abs_=1e-9)
    assert found.low_s <= found.shift_s <= found.high_s


@given(st.integers(1, 300).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_intervals_hold_the_share_and_mirror(counts):
    k, n = counts
    for interval in (evidence.wilson, evidence.jeffreys):
        seen, unseen = interval(k=k, n=n), interval(k=n - k, n=n)
        assert 0 <= seen.low <= k / n + 1e-12
        assert k / n - 1e-12 <= seen.high <= 1
        assert close(seen.low, 1 - unseen.high, abs_=1e-9)


verdicts = st.sampled_from(list(Verdict))


@given(st.lists(st.tuples(verdicts, st.booleans(), st.booleans()), max_size=30))
def test_the_tally_counts_every_judgement(rows):
    judged = [
        evidence.JudgedExpectation(
            "T1", "rear", ("rebound", "preload") if mixed else ("rebound",), "softer", verdict,
            bike=i, day=1, order=i, withdrawn=withdrawn,
        )
        for i, (verdict, mixed, withdrawn) in enumerate(rows)
    ]  # fmt: skip
    counted = sum(e.judged + e.not_tested + e.confounded for e in evidence.tally(judged))
    assert counted == sum(not withdrawn for _v, _m, withdrawn in rows)


@given(between(-5, 5), between(-5, 5))
def test_root_finds_the_zero_it_brackets(zero, slope):
    assume(abs(slope) > 1e-3)
    found = root(lambda x: slope * (x - zero) ** 3 + slope * (x - zero), -6, 6)
    assert close(found, zero, abs_=1e-8)


@given(anything, anything, anything, anything)
def test_sag_gives_a_finite_number_or_a_sentence(hanging, push, lift, travel):
    try:
        found = sag.measure(
            hanging_mm=hanging,
            after_push_mm=push,
            after_lift_mm=lift,
            travel_mm=travel,
            end="front",
        )
    except Refused:
        return
    assert 0 <= found.sag_mm <= travel + 1e-9


@given(anything, anything, anything)
def test_pressure_gives_a_finite_number_or_a_sentence(pressure, cold, hot):
    try:
        found = tyres.hot_from_cold(cold_kpa_gauge=pressure, cold_c=cold, hot_c=hot)
    except Refused:
        return
    assert math.isfinite(found)
    assert 50 <= pressure <= 400


@given(st.text(max_size=80))
def test_any_pasted_text_gives_laps_or_a_sentence(text):
    try:
        laps = pace.parse_laps(text)
    except Refused:
        return
    assert all(15 <= lap.seconds <= 1200 for lap in laps)


@given(st.integers(22, 25), st.integers(22, 25))
def test_the_large_sample_count_meets_the_exact_one_where_it_takes_over(m, n):
    spread = math.sqrt(m * n * (m + n + 1) / 12)
    large = math.ceil(m * n / 2 - 1.959964 * spread)
    assert abs(large - critical_count(m, n)) <= 1
