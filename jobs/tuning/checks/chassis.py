"""Checks of sag, springs, geometry and load."""

from functools import partial

from .. import geometry, linkage, load, sag, springs
from ..units import STANDARD_GRAVITY
from .table import Check, ValueSource

_ROOT = "root of k (s + p) s' = F, mpmath.findroot in the tests"
_SHIGLEY = "Shigley, Mechanical Engineering Design, Ex. 10-1"
_COIL = "k = G d^4 / (8 D^3 n), the torsion of the wire added up in the tests"
# Table 1 gives the trail, the steer axis tilt and the radius; it gives no offset.
_MEIJAARD = "the bicycle of Meijaard et al. (2007), Table 1; vectors in the tests"
_PROGRESSIVE = linkage.quadratic(at_full_extension=0.45, per_mm=0.0005)
_CONSTANT = linkage.constant(motion_ratio=0.5)
_POUND_PER_INCH = 0.175126835
_MPSI_IN_GPA = 6.894757293168
_BIKE = geometry.ChassisGeometry(
    rake_deg=24, offset_mm=30, wheelbase_mm=1400, front_radius_mm=299.9, rear_radius_mm=320
)
_SLOWING = 0.9 * STANDARD_GRAVITY


def _a1() -> sag.SagResult:
    return sag.measure(
        hanging_mm=127, after_push_mm=95, after_lift_mm=101, travel_mm=120, end="front"
    )


def _rear(curve: linkage.Linkage, preload: float) -> float:
    return springs.rear_equilibrium(
        wheel_force_n=1300, shock_n_per_mm=95, linkage=curve, preload_mm=preload
    )


def _b2() -> float:
    return (
        springs.coil_rate(
            wire_mm=0.037 * 25.4,
            mean_diameter_mm=0.4 * 25.4,
            active_coils=10.5,
            shear_modulus_gpa=11.85 * _MPSI_IN_GPA,
        )
        / _POUND_PER_INCH
    )


def _b4() -> springs.RequiredRate:
    return springs.required_fork_rate(
        bike_force_n=98 * STANDARD_GRAVITY,
        rider_force_n=140 * STANDARD_GRAVITY,
        free_leg_mm=18,
        rider_leg_mm=38,
        rake_deg=24,
    )


def _b5() -> float:
    return springs.rear_wheel_rate(
        shock_n_per_mm=95, linkage=_PROGRESSIVE, wheel_travel_mm=38.402, preload_mm=10
    )


def _moved(**moves: float) -> geometry.GeometryChange:
    return geometry.change(chassis=_BIKE, **moves)


def _h3() -> load.WheelLoads:
    return load.wheel_loads(
        mass_kg=260,
        wheelbase_mm=1400,
        centre_to_front_mm=700,
        centre_height_mm=620,
        deceleration_m_s2=_SLOWING,
    )


def _h3_axial() -> float:
    return load.fork_axial_n(
        front_load_n=_h3().front_n,
        brake_force_n=260 * _SLOWING,
        unsprung_kg=17,
        deceleration_m_s2=_SLOWING,
        rake_deg=24,
    )


def _h3_travel() -> float | None:
    return load.fork_travel_mm(axial_n=_h3_axial(), pair_n_per_mm=19, preload_mm=15, usable_mm=140)


def _h4() -> float:
    return load.ride_frequency_hz(wheel_rate_n_per_mm=100 * 9.81 / 15, sprung_kg=100)


_coil = partial(springs.coil_rate, wire_mm=2.5, mean_diameter_mm=22.25, active_coils=16)
_steer = {"rake_deg": 24, "offset_mm": 30, "wheel_radius_mm": 299.9}
_offset = partial(geometry.offset_for_trail, rake_deg=18, trail_mm=80, wheel_radius_mm=350)
M, R = ValueSource.MEMORY, ValueSource.COMPUTED
_THREE = "the defining sums, by hand"
_PITCH = "root find on the rotated frame, scipy in the tests"

CHECKS = (
    Check("a1", "sag", "sag, 127 / 95 / 101 mm", _THREE, R, lambda: _a1().sag_mm, 29.0, 1e-3),
    Check("a1", "sag", "stiction band", _THREE, R, lambda: _a1().stiction_band_mm, 6.0, 1e-3),
    Check("a1", "sag", "percent of 120 mm", _THREE, R, lambda: _a1().percent, 24.167, 1e-3),
    Check("a2", "sag", "rear sag, mr 0.5, preload 10", _ROOT, R,
          lambda: _rear(_CONSTANT, 10), 34.7368, 1e-4),
    Check("a2", "sag", "the same, preload 12", _ROOT, R,
          lambda: _rear(_CONSTANT, 12), 30.7368, 1e-4),
    Check("a3", "sag", "progressive linkage, preload 10", _ROOT, R,
          lambda: _rear(_PROGRESSIVE, 10), 38.4021, 1e-3),
    Check("a3", "sag", "the same, preload 12", _ROOT, R,
          lambda: _rear(_PROGRESSIVE, 12), 34.7282, 1e-3),
    Check("b1", "springs", "coil d 2.5, D 22.25, n 16, N/mm", _COIL, R,
          _coil, 2.197, 5e-4, relative=True),
    Check("b1", "springs", "the same in kgf/mm", _COIL, R,
          lambda: _coil() / STANDARD_GRAVITY, 0.2240, 5e-4, relative=True),
    Check("b2", "springs", "coil d 0.037 in, D 0.400 in, lbf/in", _SHIGLEY, M,
          _b2, 4.13, 1e-3, relative=True),
    Check("b3", "springs", "two 9.5 N/mm legs at 24 deg, vertical", "strain energy in sympy", R,
          lambda: springs.fork_wheel_rate(pair_n_per_mm=19, rake_deg=24), 22.766, 1e-3),
    Check("b4", "springs", "pair for 18 -> 38 mm with 42 kg", "two equations in sympy", R,
          lambda: _b4().rate_n_per_mm, 18.8135, 1e-3),
    Check("b4", "springs", "its preload", "two equations in sympy", R,
          lambda: _b4().preload_mm, 28.667, 1e-3),
    Check("b5", "springs", "progressive rate at z = 38.402", "derivative in sympy", R,
          _b5, 25.3227, 1e-4),
    Check("g1", "geometry", "offset for trail 80 mm, rake pi/10, mm", _MEIJAARD, R,
          _offset, 32.0714, 1e-4),
    Check("g1", "geometry", "and back, mm", _MEIJAARD, R,
          lambda: geometry.trail(rake_deg=18, offset_mm=_offset(), wheel_radius_mm=350),
          80.0, 1e-4),
    Check("g3", "geometry", "trail, rake 24, offset 30, R 299.9", "vectors in numpy", R,
          lambda: geometry.trail(**_steer), 100.685, 1e-3),
    Check("g3", "geometry", "normal trail", "vectors in numpy", R,
          lambda: geometry.normal_trail(**_steer), 91.980, 1e-3),
    Check("g4", "geometry", "tubes 5 mm through, rake deg", _PITCH, R,
          lambda: _moved(tubes_through_mm=5).rake_change_deg, -0.187, 1e-2),
    Check("g4", "geometry", "tubes 5 mm through, trail mm", _PITCH, R,
          lambda: _moved(tubes_through_mm=5).trail_change_mm, -1.125, 1e-2),
    Check("g4", "geometry", "tubes 10 mm through, rake deg", _PITCH, R,
          lambda: _moved(tubes_through_mm=10).rake_change_deg, -0.375, 1e-2),
    Check("g4", "geometry", "tubes 10 mm through, trail mm", _PITCH, R,
          lambda: _moved(tubes_through_mm=10).trail_change_mm, -2.250, 1e-2),
    Check("g6", "geometry", "sag 30 at both ends, rake deg", _PITCH, R,
          lambda: _moved(front_leg_sag_mm=30, rear_vertical_mm=30).rake_change_deg, 0.107, 1e-2),
    Check("g6", "geometry", "sag 30 at both ends, trail mm", _PITCH, R,
          lambda: _moved(front_leg_sag_mm=30, rear_vertical_mm=30).trail_change_mm, 0.645, 1e-2),
    Check("h2", "load", "deceleration that lifts the rear", "moments in the tests", R,
          lambda: load.lifting_deceleration(centre_to_front=73, centre_height=78.5, gravity=9.81),
          9.12267515924, 1e-9),
    Check("h3", "load", "front load at 0.9 g, N", "moments in sympy", R,
          lambda: _h3().front_n, 2291.11, 0.01),
    Check("h3", "load", "rear load at 0.9 g, N", "moments in sympy", R,
          lambda: _h3().rear_n, 258.62, 0.01),
    Check("h3", "load", "force along the fork, N", "moments in sympy", R,
          _h3_axial, 2813.07, 0.01),
    Check("h3", "load", "fork travel, mm", "moments in sympy", R, _h3_travel, 133.06, 0.01),
    Check("h4", "load", "15 mm static deflection, Hz", "scipy solve_ivp in the tests", R,
          _h4, 4.0701, 1e-4),
)  # fmt: skip
