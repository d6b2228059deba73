"""Checks of tyre pressure and tyre wear."""

from functools import partial

from .. import tyres, wear
from .norris import NORRIS
from .table import Check, ValueSource

S, M, R = ValueSource.PRINTED, ValueSource.MEMORY, ValueSource.COMPUTED
_OPENSTAX = "OpenStax, College Physics, ch. 13, problem 22; fractions in the tests"
_NIST = "NIST Statistical Reference Datasets, Norris, certified values"
_MODELS = "statsmodels OLS in the tests"
_AIR = "US Standard Atmosphere 1976; fluids in the tests"
_DEPTHS = (4.0, 3.7, 3.5, 3.1, 2.9, 2.6)
_LATER = (4.0, 3.85, 3.6, 3.5, 3.3, 3.05)
_corrected = partial(
    tyres.corrected_cold,
    cold_kpa_gauge=180,
    hot_measured_kpa_gauge=240,
    hot_target_kpa_gauge=230,
)


def _line(depths: tuple[float, ...] = _DEPTHS) -> wear.FittedLine:
    return wear.wear_line(depths=[wear.Depth(at=i, mm=mm) for i, mm in enumerate(depths)])


def _norris() -> wear.FittedLine:
    return wear.least_squares(xs=[x for _y, x in NORRIS], ys=[y for y, _x in NORRIS])


def _at() -> wear.Interval:
    return wear.index_at(line=_line(), limit_mm=1.0)


def _left() -> wear.Interval:
    return wear.sessions_left(line=_line(), limit_mm=1.0, last_index=5)


def _compared() -> wear.SlopeComparison:
    return wear.compare(before=_line(), after=_line(_LATER))


CHECKS = (
    Check("e1", "tyres", "250 kPa, 35 -> -40 °C, kPa gauge", _OPENSTAX, R,
          lambda: tyres.gas_law(kpa_gauge=250, from_c=35, to_c=-40, station_kpa=101.3),
          164.5, 0.05),
    Check("e3", "tyres", "167 kPa, 13 -> 48 °C, volume +7 %", "fractions in the tests", R,
          lambda: tyres.hot_from_cold(cold_kpa_gauge=167, cold_c=13, hot_c=48, volume_growth=0.07),
          180.12, 0.01),
    Check("e5", "tyres", "180 kPa, 20 -> 80 °C, against real N2", "CoolProp", R,
          lambda: tyres.hot_from_cold(cold_kpa_gauge=180, cold_c=20, hot_c=80), 237.96, 0.5),
    Check("e6", "tyres", "cold for 230 at 80, set at 20 °C", "the law written out", R,
          lambda: tyres.cold_for_hot(hot_kpa_gauge=230, hot_c=80, set_c=20), 173.71, 0.01),
    Check("e7", "tyres", "180 gave 240, want 230", "the law written out", R,
          _corrected, 171.76, 0.01),
    Check("e7", "tyres", "the same set at 8 °C", "the law written out", R,
          lambda: tyres.rescaled_to_ambient(cold_kpa_gauge=_corrected(), set_c=20, ambient_c=8),
          160.58, 0.01),
    *(
        Check("e8", "tyres", f"air pressure at {metres} m, kPa", _AIR, R,
              partial(tyres.station_pressure, altitude_m=metres), kpa, 0.01)
        for metres, kpa in ((500, 95.461), (1000, 89.876), (2000, 79.501))
    ),
    Check("f1", "wear", "slope of 36 points", _NIST, S,
          lambda: _norris().slope, 1.00211681802045, 1e-9, relative=True),
    Check("f1", "wear", "intercept", _NIST, S,
          lambda: _norris().intercept, -0.262323073774029, 1e-9, relative=True),
    Check("f3", "wear", "wear a session, mm", _MODELS, R, lambda: _line().slope, -0.28, 1e-4),
    Check("f3", "wear", "its lower end", _MODELS, R,
          lambda: _line().slope_interval().low, -0.3097, 1e-4),
    Check("f3", "wear", "its upper end", _MODELS, R,
          lambda: _line().slope_interval().high, -0.2503, 1e-4),
    Check("f3", "wear", "session at 1.0 mm", _MODELS, R, lambda: _at().value, 10.7143, 1e-4),
    Check("f3", "wear", "Fieller, lower", _MODELS, R, lambda: _at().low, 9.9084, 1e-4),
    Check("f3", "wear", "Fieller, upper", _MODELS, R, lambda: _at().high, 11.7069, 1e-4),
    Check("f3", "wear", "sessions left", _MODELS, R, lambda: _left().value, 5.7143, 1e-4),
    Check("f4", "wear", "difference of two slopes", _MODELS, R,
          lambda: _compared().difference.value, 0.094286, 1e-5),
    Check("f4", "wear", "its t", _MODELS, R, lambda: _compared().t, 6.5672, 1e-4),
    Check("f4", "wear", "its lower end", _MODELS, R,
          lambda: _compared().difference.low, 0.06118, 1e-5),
    Check("f4", "wear", "its upper end", _MODELS, R,
          lambda: _compared().difference.high, 0.12739, 1e-5),
    Check("f5", "wear", "three depths", "the rule of four points", R,
          lambda: _line((4.0, 3.9, 3.5)).slope, refusal=True),
)  # fmt: skip
