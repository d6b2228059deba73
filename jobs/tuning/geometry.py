"""Rake, trail and what moving an end does to them.

Rake from the vertical. Sources: Meijaard, Papadopoulos, Ruina and Schwab, Proc. R. Soc. A 463
(2007), for trail; the changes are exact plane geometry of a rigid frame on two round wheels.
Absolute trail is uncertain (+-1.9 mm with a tape and a level); use the differences.
"""

import math
from dataclasses import dataclass

from .argument_checks import checked
from .refusal import number, within
from .sag import rake_radians
from .words import _

TRAIL_UNCERTAINTY_MM = 1.9


@checked
def trail(*, rake_deg: float, offset_mm: float, wheel_radius_mm: float) -> float:
    """Ground trail in mm: R tan(rake) - d / cos(rake).

    Rake 15-45 deg, offset d -20..100 mm, radius R 200-400 mm. Source: Meijaard et al. 2007.

    >>> round(trail(rake_deg=24, offset_mm=30, wheel_radius_mm=299.9), 3)
    100.685
    """
    rake = rake_radians(rake_deg)
    return _radius(wheel_radius_mm) * math.tan(rake) - _offset(offset_mm) / math.cos(rake)


@checked
def offset_for_trail(*, rake_deg: float, trail_mm: float, wheel_radius_mm: float) -> float:
    """The fork offset that gives a trail: the inverse of :func:`trail`, mm.

    >>> round(offset_for_trail(rake_deg=18, trail_mm=80, wheel_radius_mm=350), 4)
    32.0714
    """
    rake = rake_radians(rake_deg)
    radius = _radius(wheel_radius_mm)
    return radius * math.sin(rake) - number(trail_mm, _("trail")) * math.cos(rake)


@checked
def normal_trail(*, rake_deg: float, offset_mm: float, wheel_radius_mm: float) -> float:
    """Trail at a right angle to the steering axis, mm: trail cos(rake).

    >>> round(normal_trail(rake_deg=24, offset_mm=30, wheel_radius_mm=299.9), 3)
    91.98
    """
    ground = trail(rake_deg=rake_deg, offset_mm=offset_mm, wheel_radius_mm=wheel_radius_mm)
    return ground * math.cos(rake_radians(rake_deg))


@checked
@dataclass(frozen=True)
class ChassisGeometry:
    """A motorcycle seen from the side, as it stands: deg and mm.

    >>> ChassisGeometry(rake_deg=24, offset_mm=30, wheelbase_mm=1400, front_radius_mm=299.9,
    ...         rear_radius_mm=320).wheelbase_mm
    1400
    """

    rake_deg: float
    offset_mm: float
    wheelbase_mm: float
    front_radius_mm: float
    rear_radius_mm: float

    def __post_init__(self) -> None:
        rake_radians(self.rake_deg)
        _offset(self.offset_mm)
        within(self.wheelbase_mm, 1000, 2000, what=_("wheelbase"), unit="mm")
        _radius(self.front_radius_mm)
        _radius(self.rear_radius_mm)


@checked
@dataclass(frozen=True)
class GeometryChange:
    """Changes of the steering geometry, and the less certain absolute values."""

    rake_change_deg: float
    trail_change_mm: float
    normal_trail_change_mm: float
    wheelbase_change_mm: float
    rake_deg: float
    trail_mm: float
    trail_uncertainty_mm: float = TRAIL_UNCERTAINTY_MM
    assumptions: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@checked
def change(
    *,
    chassis: ChassisGeometry,
    tubes_through_mm: float = 0.0,
    front_leg_sag_mm: float = 0.0,
    rear_vertical_mm: float = 0.0,
) -> GeometryChange:
    """Rake, trail and wheelbase after moving the ends, by the exact pitch of the frame.

    ``tubes_through_mm``: fork tubes raised through the clamps, front lower; ``front_leg_sag_mm``:
    more sag along the leg, the same thing; ``rear_vertical_mm``: the rear axle up towards the
    frame (more rear sag); below zero for a longer shock. Each within +-150 mm.
    Source: plane geometry; checked against a root find on the rotated frame.

    >>> bike = ChassisGeometry(rake_deg=24, offset_mm=30, wheelbase_mm=1400, front_radius_mm=299.9,
    ...                rear_radius_mm=320)
    >>> moved = change(chassis=bike, tubes_through_mm=5)
    >>> round(moved.rake_change_deg, 3), round(moved.trail_change_mm, 3)
    (-0.187, -1.125)
    """
    shorter = _move(tubes_through_mm, _("fork tubes")) + _move(front_leg_sag_mm, _("front sag"))
    rear = _move(rear_vertical_mm, _("rear height"))
    rake = rake_radians(chassis.rake_deg)
    # Front axle seen from the rear axle, in the frame as it stood, after both ends moved.
    forward = chassis.wheelbase_mm - shorter * math.sin(rake)
    up = chassis.front_radius_mm - chassis.rear_radius_mm + shorter * math.cos(rake) - rear
    # Both wheels touch the ground again: the line between the axles turns back to its rise.
    between = math.hypot(forward, up)
    rise = math.asin((chassis.front_radius_mm - chassis.rear_radius_mm) / between)
    pitch = math.atan2(up, forward) - rise
    rake_deg = chassis.rake_deg - math.degrees(pitch)
    before = _steering(chassis.rake_deg, chassis)
    after = _steering(rake_deg, chassis)
    return GeometryChange(
        rake_change_deg=-math.degrees(pitch),
        trail_change_mm=after[0] - before[0],
        normal_trail_change_mm=after[1] - before[1],
        wheelbase_change_mm=between * math.cos(rise) - chassis.wheelbase_mm,
        rake_deg=rake_deg,
        trail_mm=after[0],
        assumptions=(
            _("Rigid frame and tyres; the wheels stay round at the radii given."),
            _("Rake, offset and radii as they stand now, not from full extension."),
        ),
        cautions=(
            _(
                "The difference is what to trust: absolute trail is good to about {spread:g} mm.",
                spread=TRAIL_UNCERTAINTY_MM,
            ),
        ),
    )


def _steering(rake_deg: float, chassis: ChassisGeometry) -> tuple[float, float]:
    values = {
        "rake_deg": rake_deg,
        "offset_mm": chassis.offset_mm,
        "wheel_radius_mm": chassis.front_radius_mm,
    }
    return trail(**values), normal_trail(**values)


def _radius(value: float) -> float:
    return within(
        value,
        200,
        400,
        what=_("wheel radius"),
        unit="mm",
        hint=_("It is half the height of the loaded tyre."),
    )


def _offset(value: float) -> float:
    return within(value, -20, 100, what=_("fork offset"), unit="mm")


def _move(value: float, what: str) -> float:
    return within(value, -150, 150, what=what, unit="mm")
