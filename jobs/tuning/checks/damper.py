"""Checks of damping and damper oil."""

from .. import damping, oil
from .table import Check, ValueSource

S, M, R = ValueSource.PRINTED, ValueSource.MEMORY, ValueSource.COMPUTED
_RAO = "Rao, Mechanical Vibrations, 5th ed., Example 2.11"
_DECREMENT = "two peaks of a motion by scipy solve_ivp in the tests"
_NISE = "Nise, Control Systems Engineering, second-order step response"
_D2270 = "ASTM D2270"
_D341 = "the line of ASTM D341 by numpy in the tests"
_ODE = "scipy solve_ivp in the tests"


def _rao() -> damping.Oscillator:
    return damping.oscillator(
        mass_kg=200, damped_period_s=2, zeta=_zeta(drop_mm=40, overshoot_mm=10)
    )


def _zeta(**heights: float) -> float:
    zeta = damping.from_overshoot(**heights).zeta
    return float("nan") if zeta is None else zeta


def _delta() -> float:
    return damping.log_decrement(first_mm=0.85, last_mm=0.45)


def _ratio() -> oil.ViscosityRatio:
    return oil.cold_to_hot(grade="VG15", index=150, cold_c=8, hot_c=45, at_15_kg_m3=870)


def _line() -> oil.ViscosityLine:
    return oil.line_through(low_c=40, low_cst=32, high_c=100, high_cst=5.4)


def _six(i: int) -> float:
    return damping.peaks(push_mm=40, zeta_rebound=0.5, zeta_compression=0.2)[i]


CHECKS = (
    Check("c1", "damping", "zeta from x1.5 = x1 / 4", _RAO, S,
          lambda: _zeta(drop_mm=40, overshoot_mm=10), 0.4037, 1e-4, relative=True),
    Check("c1", "damping", "natural frequency, rad/s", _RAO, S,
          lambda: _rao().natural_rad_s, 3.4338, 1e-4, relative=True),
    Check("c1", "damping", "stiffness, N/m", _RAO, S,
          lambda: _rao().stiffness_n_per_m, 2358.27, 1e-4, relative=True),
    Check("c1", "damping", "damping, N s/m", _RAO, S,
          lambda: _rao().damping_n_s_per_m, 554.498, 1e-4, relative=True),
    Check("c3", "damping", "decrement of 0.85 -> 0.45", _DECREMENT, R, _delta, 0.636, 1e-3),
    Check("c3", "damping", "its zeta", _DECREMENT, R,
          lambda: damping.zeta_from_decrement(decrement=_delta()), 0.1007, 1e-4),
    Check("c4", "damping", "overshoot at zeta 0.75, %", _NISE, M,
          lambda: 100 * damping.overshoot_ratio(zeta=0.75), 2.838, 1e-3),
    Check("c4", "damping", "peak time at wn 10, s", _NISE, M,
          lambda: damping.peak_time(zeta=0.75, natural_rad_s=10), 0.475, 1e-3),
    Check("c5", "damping", "zeta with stiction left in", _ODE, R,
          lambda: _zeta(drop_mm=40, overshoot_mm=10.776), 0.3853, 1e-3),
    Check("c5", "damping", "zeta with stiction taken out", _ODE, R,
          lambda: _zeta(drop_mm=40, overshoot_mm=10.776, stiction_band_mm=6), 0.3000, 1e-3),
    Check("c6", "damping", "first peak, rebound 0.5", _ODE, R, lambda: _six(0), 6.5213, 1e-4),
    Check("c6", "damping", "second, compression 0.2", _ODE, R, lambda: _six(1), -3.4343, 1e-4),
    Check("c7", "damping", "zeta of 1.0 s to a tenth at 2 Hz", _ODE, R,
          lambda: damping.from_return_time(seconds=1.0, natural_hz=2.0).zeta, 2.781, 1e-3),
    Check("c7", "damping", "time to a tenth at zeta 2, s", _ODE, R,
          lambda: damping.return_time(zeta=2, natural_hz=2), 0.70597, 1e-3),
    Check("d1", "oil", "index of 73.30 / 8.86 cSt", f"{_D2270} 5.1.4", S,
          lambda: oil.viscosity_index(at_40_cst=73.30, at_100_cst=8.86), 92.43, 0.05),
    Check("d1", "oil", "as reported", f"{_D2270} 5.1.4", S,
          lambda: round(oil.viscosity_index(at_40_cst=73.30, at_100_cst=8.86)), 92, 0),
    Check("d2", "oil", "index of 22.83 / 5.05 cSt", f"{_D2270} 6.1.4", S,
          lambda: oil.viscosity_index(at_40_cst=22.83, at_100_cst=5.05), 156.37, 0.1),
    Check("d2", "oil", "as reported", f"{_D2270} 6.1.4", S,
          lambda: round(oil.viscosity_index(at_40_cst=22.83, at_100_cst=5.05)), 156, 0),
    Check("d5", "oil", "A of 32 at 40, 5.4 at 100 °C", _D341, R,
          lambda: _line().a, 9.53082, 1e-3, relative=True),
    Check("d5", "oil", "B", _D341, R, lambda: _line().b, 3.74658, 1e-3, relative=True),
    Check("d5", "oil", "at 80 °C, cSt", _D341, R,
          lambda: _line().at(80), 8.533, 1e-3),
    Check("d6", "oil", "VG15 VI150, 8 to 45 °C, kinematic", "fluids, laminar tube", R,
          lambda: _ratio().kinematic, 4.180, 2e-3, relative=True),
    Check("d6", "oil", "dynamic", "fluids, laminar tube; density API MPMS 11.1 from memory", R,
          lambda: _ratio().dynamic, 4.2975, 2e-3, relative=True),
    Check("d7", "oil", "the same through an orifice", "fluids, orifice", R,
          lambda: _ratio().dynamic / _ratio().kinematic, 1.0281, 1e-3),
)  # fmt: skip
