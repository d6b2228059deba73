"""Every public function of the arithmetic, given what is no number: refused, or right."""

import collections.abc
import dataclasses
import importlib
import inspect
import math
import pkgutil
import random
from decimal import Decimal
from enum import Enum
from types import NoneType
from typing import get_args

import pytest

import jobs.tuning
from jobs.tuning import (
    Refused,
    evidence,
    geometry,
    linkage,
    load,
    outlook,
    pace,
    practice,
    springs,
    travel,
    tyres,
    wear,
)
from jobs.tuning.argument_checks import checked
from jobs.tuning.damping import PushClass
from jobs.tuning.knowledge import (
    Observations,
    PressureReading,
    PushTest,
    SagReading,
    TravelReading,
    TyreTemperatures,
)
from jobs.tuning.terms import End, Verdict

# Not the arithmetic: reasoning with rows of the database, tables, words, and the checks.
ELSEWHERE = ("knowledge", "checks", "bench", "__main__", "argument_checks", "words", "terms")
NO_NUMBERS = (math.nan, math.inf, -math.inf, None, Decimal("NaN"), "12")

LINE = wear.least_squares(xs=range(6), ys=(4.0, 3.7, 3.5, 3.1, 2.9, 2.6))
BETTER = wear.least_squares(xs=range(6), ys=(4.0, 3.85, 3.6, 3.5, 3.3, 3.05))
SLOW = pace.outing_pace(laps=[pace.Lap(s) for s in (103.0, 103.2, 103.1, 103.3)])
JUDGED = evidence.JudgedExpectation("T1", "rear", ("rebound",), "softer", Verdict.SEEN, 1, 1)
FORK = outlook.fork_spring(pair_n_per_mm=19, preload_mm=15)
STIFFER = outlook.EndChange(rate_n_per_mm=1)
RINGS = outlook.rings_seen(state=outlook.rings_begin(prior=outlook.PRIORS["fork_leg"]), used_mm=96)
BAND = outlook.rings_next(state=RINGS)
COUNTED = outlook.RingsThatCount(RINGS, ())
OUTLOOK = outlook.outlook_of(counted=COUNTED, spring=FORK, change=STIFFER, usable_mm=120)
HERE = outlook.Circumstances("R", "V", "dry")
(SWAP,) = outlook.parts_for(spring=FORK, ring_mm=96, usable_mm=120, in_stock_n_per_mm=[10])
RESPONSE = outlook.Response(0.05, 0.02, 0.08, 0.018, 0.1, 0.25, 4)

# One possible value for each name of an argument.
POSSIBLE = {
    "pace": "quick", "place": "fork_leg", "figures": travel.TravelFigures(usable_mm=120),
    "used": travel.TravelUsed("fork_leg", 90, 120),
    "a": 2.0, "b": 3.0, "x": 0.4, "y": 8.0, "k": 3, "n": 9, "m": 7,
    "rake_deg": 24, "offset_mm": 30, "wheel_radius_mm": 300, "trail_mm": 100,
    "wheelbase_mm": 1400, "front_radius_mm": 300, "rear_radius_mm": 320,
    "chassis": geometry.ChassisGeometry(24, 30, 1400, 300, 320), "tubes_through_mm": 5,
    "front_leg_sag_mm": 3, "rear_vertical_mm": 2, "mass_kg": 260, "centre_to_front_mm": 700,
    "centre_height_mm": 620, "deceleration_m_s2": 8, "centre_to_front": 700,
    "centre_height": 620, "gravity": 9.81, "front_load_n": 2200, "brake_force_n": 2200,
    "unsprung_kg": 17, "axial_n": 2500, "pair_n_per_mm": 19, "preload_mm": 10, "usable_mm": 130,
    "air": load.AirSpring(1300, 250), "area_mm2": 1300, "volume_cm3": 250, "exponent": 1.3,
    "closed_at_kpa": 101, "x_mm": 50, "wheel_rate_n_per_mm": 22, "sprung_kg": 98, "used_mm": 90,
    "low_percent": 65, "high_percent": 85, "motion_ratio": 0.5, "at_full_extension": 0.45,
    "per_mm": 0.0005, "points": [(20, 9.2), (40, 18.8), (60, 28.8)], "coefficients": (0.45, 0.0005),
    "known_to_mm": 120, "z": 20, "linkage": linkage.quadratic(at_full_extension=0.45, per_mm=5e-4),
    "what": "sag", "wheel_travel_mm": 20, "shock_n_per_mm": 95, "wheel_force_n": 1300,
    "bike_force_n": 700, "rider_force_n": 1300, "free_mm": 10, "rider_mm": 35, "free_leg_mm": 15,
    "rider_leg_mm": 38, "rate_n_per_mm": 9.5, "end": "front", "sure": False, "left_n_per_mm": 9,
    "right_n_per_mm": 9.5, "left_preload_mm": 10, "right_preload_mm": 12, "wire_mm": 2.5,
    "mean_diameter_mm": 22, "active_coils": 16, "shear_modulus_gpa": 79.3, "outside_mm": 25,
    "hanging_mm": 127, "after_push_mm": 95, "after_lift_mm": 101, "travel_mm": 120,
    "preload_change_mm": 2, "share_of_rate": 0.5, "rider_sag_mm": 30, "rider_target_mm": 30,
    "free_sag_mm": 7, "free_low_mm": 5, "free_high_mm": 10, "position": 8, "steps": 2,
    "origin": "open", "counted_range": 20, "firmer": True, "firming": "down", "lowest": 0,
    "highest": 20, "decrement": 0.64, "first_mm": 0.85, "last_mm": 0.45, "cycles": 1, "zeta": 0.4,
    "seconds": 1.0, "natural_hz": 2, "left": 0.1, "push_mm": 40, "zeta_rebound": 0.5,
    "zeta_compression": 0.2, "count": 2, "damped_period_s": 2, "natural_rad_s": 10,
    "returned": True, "swings": 1, "word": "slow", "passes": 1, "passes_wanted": 1,
    "settled_mm": 700, "bottom_mm": 660, "top_mm": 708,
    "drop_mm": 40, "overshoot_mm": 8, "stiction_band_mm": 4, "reading_mm": 2,
    "visible_share": 0.05, "probability": 0.9, "degrees": 4, "confidence": 0.95,
    "judgements": [JUDGED], "low_c": 40, "low_cst": 32, "high_c": 100, "high_cst": 5.4,
    "at_40_cst": 73.3, "at_100_cst": 8.86, "at_40": 73.3, "at_100": 8.86, "grade": "VG15",
    "index": 150, "at_15_kg_m3": 870, "celsius": 45, "cold_c": 8, "hot_c": 45,
    "viscosity_ratio": 4.3, "share": 0.3, "cold_over_hot": 2, "text": "1:43.4", "mark": "",
    "values": (1, 2, 3, 4), "constant": 1.4826, "laps": [pace.Lap(s) for s in (103, 103.2, 102)],
    "resolution_s": 0.1, "before": SLOW, "after": SLOW, "same_layout": True, "same_wetness": True,
    "change": pace.pace_change(before=SLOW, after=SLOW), "trigger_s": 3, "key": "sag_rear_free",
    "own": {"sag_rear_free": (5, 10)}, "low": 0.0, "high": 3.0, "function": lambda x: x - 1,
    "tolerance": 1e-9, "altitude_m": 900, "station_kpa": 95, "kpa_gauge": 230, "from_c": 35,
    "to_c": -10, "volume_growth": 0.05, "cold_kpa_gauge": 180, "hot_kpa_gauge": 230, "set_c": 20,
    "ambient_c": 8, "hot_measured_kpa_gauge": 240, "hot_target_kpa_gauge": 230, "expected_c": 8,
    "maker_ranges": (tyres.MakerRange(150, 200, "cold"),), "value": 230, "minutes_since_stop": 1,
    "left_c": 62, "centre_c": 58, "right_c": 70, "unit": "psi", "quantity": "pressure",
    "to": "bar", "at": 1, "mm": 3.5, "xs": range(4), "ys": (4, 3.7, 3.4, 3.0),
    "depths": [wear.Depth(i, mm) for i, mm in enumerate((4.0, 3.7, 3.5, 3.1))],
    "gauge_resolution_mm": 0.1, "line": LINE, "limit_mm": 1, "last_index": 5,
    "price_minor": 18000, "new_depth_mm": 4,
    "spring": FORK, "ring_mm": 96, "aim_mm": 90, "in_stock_n_per_mm": [9, 10], "name": "swap",
    "oil_level_mm": 5, "rate_change_n_per_mm": 1, "sag_at_mm": 34, "state": RINGS,
    "shift": outlook.Shift(-5, 0.5), "prior": outlook.PRIORS["fork_leg"], "now": HERE,
    "rings": [outlook.RingRead(96, "fork_leg", HERE)], "changed": ["preload"], "spread_mm": 2.2,
    "unchanged": BAND, "band": BAND, "put_back": True,
    "visibility": outlook.Visibility("in_one", 1), "landing": outlook.Landing("inside"),
    "verdict": Verdict.SEEN,
    "parts": [(0.5, 1.0, 1.0), (0.5, 3.0, 1.0)], "adjuster": "A", "model": "M",
    "pairs": [outlook.PushPair("A", "M", -3, 1.0, 0.85, "hot", "hot")], "response": RESPONSE,
    "seconds_now": 1.0, "clicks_firmer": -3, "sag_mm": 34,
    "counts": [(3, 4), (1, 2)], "means": 12, "sizes": 6, "most": 2,
    "rider": "R", "counted": COUNTED, "outlook": OUTLOOK, "sag_moves_mm": -1,
}  # fmt: skip
# Where a name means something else in one function.
ELSE = {
    "Linkage": {}, "polynomial_roots": {"coefficients": (-2, 0, 1)},
    "remaining": {"zeta": 2}, "return_time": {"zeta": 2}, "trace": {"points": 9},
    "peak_time": {"natural_rad_s": 10}, "from_return_time": {"seconds": 1.0},
    "fork_preload_effect": {}, "mean_diameter": {}, "compare": {"before": LINE, "after": BETTER},
    "hodges_lehmann": {"before": (103, 103.4, 102.8), "after": (99.6, 99.9, 99.2)},
    "viscosity_at_100": {"index": 92}, "beta_cdf": {"x": 0.4}, "critical_count": {"n": 6},
    "own_band": {"low": 25, "high": 30}, "stopwatch": {"seconds": 1}, "Depth": {"at": 1},
    "ring_shift": {"change": STIFFER}, "outlook_of": {"change": STIFFER},
    "sag_shift_mm": {"change": STIFFER},
    "landed": {"last_mm": 95, "laps": 5}, "too_few_laps": {"laps": 2},
    "prior_of": {"own": {"ring_front": (2, 4.5)}}, "response": {"prior": outlook.ClickPrior()},
    "fork_change": {
        "before": springs.ForkPair(9.5, 9.5, 10, 10), "after": springs.ForkPair(10, 10, 8, 8)
    },
    "judged_by_the_ring": {"used_mm": 85}, "nearest_parts": {"parts": [SWAP]},
    "gauge_kpa": {"value": 230}, "UnitFactor": {"quantity": "force"}, "lap_seconds": {},
}  # fmt: skip


def _public():
    found = {}
    for info in pkgutil.walk_packages(jobs.tuning.__path__, "jobs.tuning."):
        if any(part in info.name for part in ELSEWHERE) or info.name.endswith(".refusal"):
            continue
        for name, thing in vars(importlib.import_module(info.name)).items():
            own = callable(thing) and getattr(thing, "__module__", "") == info.name
            if (
                own
                and not name.startswith("_")
                and not (isinstance(thing, type) and issubclass(thing, Enum))
            ):
                found[f"{info.name.removeprefix('jobs.tuning.')}.{name}"] = thing
    return found


PUBLIC = _public()
FUNCTIONS = {name: thing for name, thing in PUBLIC.items() if not isinstance(thing, type)}
CLASSES = {name: thing for name, thing in PUBLIC.items() if isinstance(thing, type)}


def _arguments(name):
    own = ELSE.get(name.rpartition(".")[2], {})
    return {
        parameter: own.get(parameter, POSSIBLE[parameter])
        for parameter in inspect.signature(FUNCTIONS[name]).parameters
    }


def _call(thing, arguments):
    parameters = inspect.signature(thing).parameters
    first = [arguments[p.name] for p in parameters.values() if p.kind == p.POSITIONAL_OR_KEYWORD]
    rest = {p.name: arguments[p.name] for p in parameters.values() if p.kind == p.KEYWORD_ONLY}
    return thing(*first, **rest)


def _spoilt(value):
    """The value with one number in it replaced by what is none, in every way."""
    for none in NO_NUMBERS:
        if not (isinstance(value, str) and isinstance(none, str)):
            yield none
    if isinstance(value, (tuple, list, range)):
        for i, one in enumerate(value):
            for bad in _spoilt(one):
                yield [*value[:i], bad, *value[i + 1 :]]
    if isinstance(value, dict):
        for key, one in value.items():
            for bad in _spoilt(one):
                yield {**value, key: bad}


@pytest.mark.parametrize("name", FUNCTIONS)
def test_what_is_no_number_is_refused(name):
    function, right = FUNCTIONS[name], _arguments(name)
    expected = _call(function, right)
    assert expected is not None
    for parameter in right:
        annotation = inspect.signature(function).parameters[parameter].annotation
        for bad in _spoilt(right[parameter]):
            allowed = get_args(annotation)
            if (bad is None and NoneType in allowed) or (isinstance(bad, str) and str in allowed):
                continue
            with pytest.raises(Refused):
                _call(function, {**right, parameter: bad})
                pytest.fail(f"{name}({parameter}={bad!r}) was not refused")


@pytest.mark.parametrize("name", CLASSES)
def test_no_result_holds_what_is_no_number(name):
    """A dataclass of the arithmetic cannot be made with NaN: neither by hand nor by a formula."""
    fields = [
        f
        for f in dataclasses.fields(CLASSES[name])
        if f.type in (int, float) or float in get_args(f.type)
    ]
    right = {f.name: POSSIBLE.get(f.name, 1.0) for f in fields}
    others = {
        f.name: {"verdict": Verdict.SEEN, "bike": 1, "day": 1}.get(f.name, ())
        for f in dataclasses.fields(CLASSES[name])
        if f.name not in right
    }
    others |= {k: "front" for k, v in others.items() if v == () and _is_text(CLASSES[name], k)}
    for field in fields:
        for bad in NO_NUMBERS:
            if bad is None and NoneType in get_args(field.type):
                continue
            with pytest.raises(Refused):
                CLASSES[name](**others, **{**right, field.name: bad})


def _is_text(thing, field):
    (found,) = [f for f in dataclasses.fields(thing) if f.name == field]
    return isinstance(found.type, type) and issubclass(found.type, str)


EXTREME = (0.0, -0.0, 5e-324, -5e-324, 1e-300, 1e300, -1e300, 1.7e308, 1e9, -1.0, 1.0, 0.5, 40.0)


@pytest.mark.parametrize("name", FUNCTIONS)
def test_any_finite_numbers_give_a_finite_figure_or_a_refusal(name):
    function, right = FUNCTIONS[name], _arguments(name)
    annotations = {p.name: p.annotation for p in inspect.signature(function).parameters.values()}
    numbers = [p for p in right if float in (annotations[p], *get_args(annotations[p]))]
    whole = [p for p in right if annotations[p] is int]
    rng = random.Random(name)
    for _ in range(150):
        given = dict(right)
        for parameter in numbers:
            if rng.random() < 0.5:
                value = right[parameter]
                factor = rng.choice((*EXTREME, rng.uniform(-2, 2)))
                if isinstance(value, (tuple, list, range)):
                    given[parameter] = [_times(one, factor) for one in value]
                else:
                    given[parameter] = rng.choice((factor, _times(value, factor)))
        for parameter in whole:
            if rng.random() < 0.5:
                given[parameter] = rng.choice((0, -1, 1, 2, 60, 10**6, 10**30))
        try:
            result = _call(function, given)
        except Refused:
            continue
        assert all(math.isfinite(one) for one in _numbers(result)), (given, result)


def _times(value, factor):
    if isinstance(value, (tuple, list)):
        return [_times(one, factor) for one in value]
    product = value * factor if isinstance(value, (int, float)) else value
    return product if not isinstance(product, float) or math.isfinite(product) else value


def _numbers(result):
    if isinstance(result, (int, float)):
        yield result
    elif dataclasses.is_dataclass(result):
        for field in dataclasses.fields(result):
            yield from _numbers(getattr(result, field.name))
    elif isinstance(result, (tuple, list)):
        for one in result:
            yield from _numbers(one)


def test_every_public_function_and_class_checks_its_arguments():
    """By its mark, so that a new one without the decorator is named."""
    unmarked = [
        name
        for name, thing in PUBLIC.items()
        if not hasattr(thing.__init__ if isinstance(thing, type) else thing, "__wrapped__")
    ]
    assert unmarked == []


def test_the_message_names_the_argument_as_people_say_it():
    @checked
    def force(*, rate_n_per_mm: float, travel_mm: float = 1.0) -> float:
        return rate_n_per_mm * travel_mm

    with pytest.raises(Refused, match=r"^rate: nan is not a number\.$"):
        force(rate_n_per_mm=math.nan)
    with pytest.raises(Refused, match=r"^travel: no number was given\.$"):
        force(rate_n_per_mm=1.0, travel_mm=None)
    with pytest.raises(Refused, match="No meaningful figure"):
        force(rate_n_per_mm=1e300, travel_mm=1e300)
    assert force(rate_n_per_mm=9, travel_mm=2) == 18


def test_a_generator_is_refused_and_not_used_up():
    values = (one for one in (1, 2, 3))
    assert isinstance(values, collections.abc.Iterator)
    with pytest.raises(Refused, match="values is missing, or is of another kind"):
        pace.median_absolute_deviation(values)
    assert next(values) == 1


def test_a_word_that_is_no_end_is_refused():
    from jobs.tuning import clicks, springs

    with pytest.raises(Refused, match="accepted are front, rear"):
        springs.checked_rate(rate_n_per_mm=9.5, end="middle")
    with pytest.raises(Refused, match="accepted are down, up"):
        clicks.position_after(
            position=8, steps=1, firmer=True, firming="sideways", lowest=0, highest=20
        )
    assert practice.target("sag_rear_free").low == 0


E = End.FRONT
READINGS = (
    (PushTest, {"end": E, "seen": PushClass.SLOW, "oil": "hot", "this_turnaround": True,
                "seconds": 1.0}),
    (PressureReading, {"end": E, "kpa_gauge": 200.0, "state": "cold"}),
    (TyreTemperatures, {"end": E, "minutes": 1.0, "left_c": 60.0, "centre_c": 61.0,
                        "right_c": 62.0}),
    (SagReading, {"end": E, "rider_mm": 30.0, "free_mm": 5.0, "stiction_mm": 6.0}),
    (TravelReading, {"end": E, "used_mm": 90.0, "usable_mm": 120.0}),
    (Observations, {"laps": 5, "gained_s": 1.0, "track_change_c": 3.0}),
)  # fmt: skip


@pytest.mark.parametrize(("reading", "right"), READINGS)
def test_what_is_no_number_is_no_reading_to_reason_from(reading, right):
    reading(**right)
    numbers = [name for name, value in right.items() if type(value) in (float, int)]
    assert numbers
    for name in numbers:
        for bad in (math.nan, math.inf, -math.inf):
            with pytest.raises(Refused):
                reading(**{**right, name: bad})
