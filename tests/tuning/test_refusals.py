"""Every refusal of the specification: no number comes out, and the sentence says why."""

from functools import partial

import pytest

from jobs.tuning import (
    Refused,
    damping,
    evidence,
    geometry,
    linkage,
    load,
    oil,
    pace,
    practice,
    sag,
    springs,
    tyres,
    units,
    wear,
)

NAN = float("nan")
SAG = partial(sag.measure, travel_mm=120, end="front")
FORK = partial(springs.required_fork_rate, rake_deg=24)
PUSH = damping.from_overshoot
CORRECT = partial(
    tyres.corrected_cold,
    cold_kpa_gauge=180, hot_measured_kpa_gauge=240, hot_target_kpa_gauge=230,
)  # fmt: skip
COIL = partial(springs.coil_rate, wire_mm=2.5, mean_diameter_mm=22.25, active_coils=16)
CHASSIS = partial(
    geometry.ChassisGeometry,
    rake_deg=24, offset_mm=30, wheelbase_mm=1400, front_radius_mm=300, rear_radius_mm=320,
)  # fmt: skip


def _depths(*mm, **kept):
    return [wear.Depth(at=i, mm=value, **kept) for i, value in enumerate(mm)]


def _laps(*seconds):
    return [pace.Lap(s) for s in seconds]


REFUSALS = {
    "hanging is not the longest": (
        lambda: SAG(hanging_mm=90, after_push_mm=95, after_lift_mm=101), "longest of the three"),
    "sag beyond the travel": (
        lambda: SAG(hanging_mm=327, after_push_mm=95, after_lift_mm=101), "outside the 120 mm"),
    "a reading missing": (
        lambda: SAG(hanging_mm=None, after_push_mm=95, after_lift_mm=101), "no number was given"),
    "not a number": (
        lambda: SAG(hanging_mm=NAN, after_push_mm=95, after_lift_mm=101), "is not a number"),
    "motion ratio too small": (lambda: linkage.constant(motion_ratio=0.1), "0.2 to 1.1"),
    "linkage going back": (
        lambda: linkage.from_points(points=[(0, 0), (20, 9), (40, 8)]), "must grow"),
    "linkage with one point": (lambda: linkage.from_points(points=[(20, 9)]), "two points"),
    "linkage with a slip of the pen": (
        lambda: linkage.from_points(
            points=[(20, 9.2), (40, 18.8), (60, 28.8), (80, 49.2), (100, 50.0)]), "curve|ratio"),
    "free sag band backwards": (
        lambda: sag.rate_verdict(rider_sag_mm=30, rider_target_mm=30, free_sag_mm=5,
                                 free_low_mm=10, free_high_mm=5), "ends below"),
    "sags too close": (
        lambda: FORK(bike_force_n=900, rider_force_n=1300, free_leg_mm=30, rider_leg_mm=34),
        "at least 5 mm more"),
    "topped out": (
        lambda: FORK(bike_force_n=900, rider_force_n=1300, free_leg_mm=0, rider_leg_mm=34),
        "topped out"),
    "rider weighs nothing": (
        lambda: FORK(bike_force_n=900, rider_force_n=900, free_leg_mm=18, rider_leg_mm=34),
        "carry more than without"),
    "negative preload": (
        lambda: FORK(bike_force_n=300, rider_force_n=1300, free_leg_mm=18, rider_leg_mm=38),
        "too stiff"),
    "a coil that is no coil": (lambda: COIL(mean_diameter_mm=5), "4 to 20"),
    "too few coils": (lambda: COIL(active_coils=1), "2 to 200"),
    "no unit": (lambda: units.to_canonical(value=9, unit="", quantity="rate"), "unit is missing"),
    "a unit of something else": (
        lambda: units.to_canonical(value=9, unit="psi", quantity="rate"), "not a unit"),
    "an unknown unit": (lambda: units.convert(value=9, unit="kPa", to="furlong"), "not known"),
    "a small push": (lambda: PUSH(drop_mm=14, overshoot_mm=3), "too small"),
    "overshoot below zero": (lambda: PUSH(drop_mm=40, overshoot_mm=-1), "below zero"),
    "overshoot of the whole push": (lambda: PUSH(drop_mm=40, overshoot_mm=40), "cannot reach"),
    "an end that sticks": (
        lambda: PUSH(drop_mm=40, overshoot_mm=8, stiction_band_mm=20), "sticks too much"),
    "quicker than a thumb": (lambda: damping.from_return_time(seconds=0.1), "stopwatch"),
    "quicker than a slow return": (
        lambda: damping.from_return_time(seconds=0.2, natural_hz=2), "count the swings"),
    "stuck": (lambda: damping.from_return_time(seconds=900, natural_hz=2), "stuck"),
    "swings below zero": (lambda: damping.from_swings(swings=-1), "counted from 0"),
    "growing swings": (lambda: damping.log_decrement(first_mm=1, last_mm=2), "smaller"),
    "oil too cold": (
        lambda: oil.line_through(low_c=-40, low_cst=32, high_c=100, high_cst=5), "-40"),
    "oil too hot": (lambda: oil.density(at_15_kg_m3=870, celsius=151), "150"),
    "thin when cold": (
        lambda: oil.line_through(low_c=40, low_cst=5, high_c=100, high_cst=32), "swapped"),
    "index of a thin oil": (
        lambda: oil.viscosity_index(at_40_cst=5, at_100_cst=1.9), "2 cSt"),
    "5W": (lambda: oil.cold_to_hot(grade="5W"), "label of a bottle"),
    "2.5W": (lambda: oil.iso_midpoint("2.5W"), "label of a bottle"),
    "SAE 10W-30": (lambda: oil.iso_midpoint("SAE 10W30"), "label of a bottle"),
    "no such grade": (lambda: oil.iso_midpoint("VG17"), "not an ISO VG grade"),
    "cold hotter than hot": (lambda: oil.cold_to_hot(cold_c=50, hot_c=45), "colder than hot"),
    "gauge too high": (lambda: CORRECT(cold_kpa_gauge=401), "50 to 400"),
    "hot below cold": (lambda: CORRECT(hot_measured_kpa_gauge=170), "bleed"),
    "no barometer reads that": (lambda: CORRECT(station_kpa=150), "70 to 108"),
    "a tyre at 160 degC": (
        lambda: tyres.hot_from_cold(cold_kpa_gauge=180, cold_c=20, hot_c=160), "-20 to 150"),
    "before the stop": (
        lambda: tyres.hot_reading(kpa_gauge=230, minutes_since_stop=-1), "minutes since"),
    "three depths": (lambda: wear.wear_line(depths=_depths(4, 3.7, 3.5)), "4 or more"),
    "too little worn": (
        lambda: wear.wear_line(depths=_depths(4, 3.9, 3.8, 3.7)), "too little"),
    "depth rose": (
        lambda: wear.wear_line(depths=_depths(4, 3.5, 3.9, 3.0)), "measure again"),
    "scatter": (
        lambda: wear.wear_line(depths=_depths(4.0, 3.2, 3.5, 3.2, 3.5), gauge_resolution_mm=0.1),
        "scatter"),
    "another tyre": (
        lambda: wear.wear_line(depths=_depths(4, 3.7, tyre="a") + _depths(3, 2, tyre="b")),
        "tyre changed"),
    "another track": (
        lambda: wear.wear_line(depths=_depths(4, 3.7, track="a") + _depths(3, 2, track="b")),
        "track changed"),
    "a flat line": (
        lambda: wear.index_at(
            line=wear.least_squares(xs=(0, 1, 2), ys=(3, 3, 3)), limit_mm=1), "Cannot say"),
    "an uncertain line": (
        lambda: wear.index_at(
            line=wear.least_squares(xs=(0, 1, 2, 3), ys=(3, 2.5, 3.1, 2.7)), limit_mm=1),
        "Cannot say"),
    "all at one session": (
        lambda: wear.least_squares(xs=(1, 1, 1), ys=(3, 2, 1)), "same session"),
    "no rubber to use up": (
        lambda: wear.cost_per_session(
            price_minor=100, line=wear.wear_line(depths=_depths(4, 3.7, 3.5, 3.1)),
            new_depth_mm=1, limit_mm=1), "above the limit"),
    "rake from the horizontal": (lambda: CHASSIS(rake_deg=66), "from the horizontal"),
    "a rake of 80": (lambda: CHASSIS(rake_deg=80), "15 to 45"),
    "a diameter for a radius": (lambda: CHASSIS(front_radius_mm=600), "half the height"),
    "an offset of 150": (lambda: CHASSIS(offset_mm=150), "-20 to 100"),
    "a scooter's wheelbase": (lambda: CHASSIS(wheelbase_mm=900), "1000 to 2000"),
    "used more than there is": (
        lambda: load.travel_margin(usable_mm=112, used_mm=120), "Travel used"),
    "a rear wheel in the air": (
        lambda: load.wheel_loads(mass_kg=260, wheelbase_mm=1400, centre_to_front_mm=700,
                                 centre_height_mm=620, deceleration_m_s2=11.1),
        "1.13 g the rear wheel is in the air: it lifts at 1.13 g"),
    "a fork leg of no size": (lambda: load.AirSpring(0, 100), "200 to 4000"),
    "no air left": (lambda: load.AirSpring(1300, 100).force_n(90), "no air left"),
    "two laps": (lambda: pace.outing_pace(laps=_laps(100, 101)), "at least 3"),
    "no laps pasted": (lambda: pace.parse_laps("  \n"), "paste one to a line"),
    "words for a lap": (lambda: pace.parse_laps("1:43.2\nfast"), 'Line 2: "fast"'),
    "a lap of a second": (lambda: pace.parse_laps("1.0"), "is no lap"),
    "a CSV without its time": (lambda: pace.parse_laps("lap,time\n1,\n"), "Line 2"),
    "a CSV without laps": (lambda: pace.parse_laps("lap;time"), "no laps under it"),
    "more seen than judged": (lambda: evidence.wilson(k=3, n=2), "3 of 2"),
    "nothing judged": (lambda: evidence.jeffreys(k=0, n=0), "0 of 0"),
    "a band upside down": (lambda: practice.own_band(30, 25), "lower to a higher"),
    "an unknown figure": (lambda: practice.target("tyre_colour"), "tyre_colour"),
}  # fmt: skip


@pytest.mark.parametrize("case", REFUSALS, ids=str)
def test_refused_in_words(case):
    call, says = REFUSALS[case]
    with pytest.raises(Refused, match=says) as caught:
        call()
    assert caught.value.words == str(caught.value)
    assert caught.value.words[-1] in ".?", "a sentence"


def test_without_a_range_there_is_no_figure_but_a_reason():
    values = {
        "cold_kpa_gauge": 180, "cold_c": 20, "hot_measured_kpa_gauge": 240,
        "hot_target_kpa_gauge": 230, "expected_c": 20,
    }  # fmt: skip
    none = tyres.set_pressure(maker_ranges=(), **values)
    outside = tyres.set_pressure(maker_ranges=(tyres.MakerRange(180, 220, "cold"),), **values)
    too_hot = tyres.set_pressure(maker_ranges=(tyres.MakerRange(180, 220, "track"),), **values)
    warmers = tyres.set_pressure(maker_ranges=(tyres.MakerRange(180, 260, "warmers"),), **values)
    assert [a.set_kpa_gauge for a in (none, outside, too_hot, warmers)] == [None] * 4
    assert "not entered" in none.refusal
    assert "172 kPa lies outside" in outside.refusal
    assert "230 kPa lies outside" in too_hot.refusal
    assert "warmers only" in warmers.refusal


@pytest.mark.parametrize(
    ("minutes", "hot", "note"),
    [(0, True, ""), (2, True, ""), (2.1, True, "2 min old, reads low"),
     (5, True, "5 min old, reads low"), (6, False, "6 min old: kept, but not used")],
)  # fmt: skip
def test_the_age_of_a_hot_reading_decides_its_use(minutes, hot, note):
    reading = tyres.hot_reading(kpa_gauge=230, minutes_since_stop=minutes)
    assert (reading.use_as_hot, reading.note[: len(note)]) == (hot, note)


def test_stiction_is_warned_of_by_end():
    def band(end, mm):
        return sag.measure(
            hanging_mm=140, after_push_mm=95, after_lift_mm=95 + mm, travel_mm=120, end=end
        ).cautions

    assert (band("front", 15), band("rear", 10)) == ((), ())
    assert "16 mm" in band("front", 16)[0]
    assert "11 mm" in band("rear", 11)[0]


@pytest.mark.parametrize(
    ("rider", "free", "verdict"),
    [(33, 7, "set_rider_sag_first"), (30, 0.5, "spring_too_soft"), (31, 3, "spring_too_soft"),
     (29, 14, "spring_too_stiff"), (30, 7, "nothing_against_it")],
)  # fmt: skip
def test_free_sag_judges_the_spring_only_at_the_right_rider_sag(rider, free, verdict):
    found = sag.rate_verdict(
        rider_sag_mm=rider, rider_target_mm=30, free_sag_mm=free, free_low_mm=5, free_high_mm=10
    )
    assert found == verdict


def test_published_bands_disagree_and_are_kept_apart():
    rear = practice.PRACTICES["sag_rear_free"]
    assert rear.bands == ((0, 5), (2, 17), (5, 10))
    assert rear.disagree
    assert not practice.PRACTICES["travel_front_middle"].disagree


def test_a_fork_that_would_pass_its_travel_has_no_travel():
    values = {"pair_n_per_mm": 19, "preload_mm": 15, "usable_mm": 120}
    assert load.fork_travel_mm(axial_n=2564, **values) == pytest.approx(119.947, abs=1e-3)
    assert load.fork_travel_mm(axial_n=2566, **values) is None
    # The air holds it up: short of its end, and with too little of it still past it.
    held = load.fork_travel_mm(axial_n=2813, air=load.AirSpring(1300, 250), **values)
    assert held is not None
    assert 100 < held < 120
    assert load.fork_travel_mm(axial_n=9000, air=load.AirSpring(1300, 250), **values) is None


def test_the_rear_lifts_exactly_where_its_load_is_gone():
    bike = {"mass_kg": 260, "wheelbase_mm": 1400, "centre_to_front_mm": 700}
    lifts = load.lifting_deceleration(centre_to_front=700, centre_height=620)
    just = load.wheel_loads(centre_height_mm=620, deceleration_m_s2=lifts * (1 - 1e-9), **bike)
    assert just.rear_n == pytest.approx(0, abs=1e-3)
    with pytest.raises(Refused, match="in the air"):
        load.wheel_loads(centre_height_mm=620, deceleration_m_s2=lifts * (1 + 1e-9), **bike)
