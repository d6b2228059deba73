"""A chassis's figures as ``jobs.tuning`` works with them: its linkage, the travel of an end."""

from jobs.tuning import Refused, linkage
from jobs.tuning.travel import TravelFigures

from .enums import End
from .models import Chassis


def linkage_of(chassis: Chassis) -> linkage.Linkage | None:
    """The curve where it is known, else the motion ratio. Refused: neither can be one."""
    if chassis.linkage_curve:
        return linkage.from_points(points=chassis.linkage_curve)
    if chassis.motion_ratio is None:
        return None
    return linkage.constant(motion_ratio=float(chassis.motion_ratio))


def travel_figures_of(chassis: Chassis, end: str) -> TravelFigures:
    """What is known of the travel of one end. A linkage that cannot be one is not known."""
    usable, mark = _mm(chassis, f"{end}_usable_travel_mm"), _mm(chassis, f"{end}_end_mark_mm")
    if end == End.FRONT:
        return TravelFigures(usable_mm=usable, end_mark_mm=mark)
    try:
        curve = linkage_of(chassis)
    except Refused:
        curve = None
    return TravelFigures(usable, _mm(chassis, "rear_shaft_stroke_mm"), mark, curve)


def _mm(chassis: Chassis, name: str) -> float | None:
    value = getattr(chassis, name)
    return None if value is None else float(value)
