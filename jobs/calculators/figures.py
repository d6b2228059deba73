"""A bike's figures put together: its chassis, its linkage, the rate and frequency of an end."""

from jobs.garage.chassis import linkage_of
from jobs.garage.enums import End
from jobs.garage.models import Bike
from jobs.tuning import Refused, geometry, load, springs

# Where on a progressive linkage the bike stands alone, of its travel (common practice, no source).
STANDS_AT = 0.1


def offset_of(bike: Bike) -> float | None:
    """The fork offset in mm: as measured, else what gives the trail that is known."""
    known = (bike.rake_deg, bike.trail_mm, bike.front_wheel_radius_mm)
    if bike.offset_mm is not None:
        return float(bike.offset_mm)
    if any(one is None for one in known):
        return None
    rake, trail, radius = (float(one) for one in known if one is not None)
    try:
        found = geometry.offset_for_trail(rake_deg=rake, trail_mm=trail, wheel_radius_mm=radius)
    except Refused:
        return None
    return round(found, 1)


def sprung_kg(bike: Bike, end: str) -> float | None:
    """What is sprung of the bike alone on one wheel: its weight on the scales, less wheel
    and fork or swingarm."""
    weight = getattr(bike, f"{end}_weight_kg", None)
    unsprung = getattr(bike, f"{end}_unsprung_kg", None)
    return float(weight - unsprung) if weight and unsprung else None


def chassis_of(bike: Bike) -> geometry.ChassisGeometry | None:
    figures = (
        bike.rake_deg,
        offset_of(bike),
        bike.wheelbase_mm,
        bike.front_wheel_radius_mm,
        bike.rear_wheel_radius_mm,
    )
    if any(figure is None for figure in figures):
        return None
    return geometry.ChassisGeometry(*(float(figure) for figure in figures if figure is not None))


def wheel_rate(bike: Bike, end: str) -> float | None:
    """N/mm, vertical, at the wheel; None where a figure it needs is not known or cannot be."""
    try:
        return _front_rate(bike) if end == End.FRONT else _rear_rate(bike)
    except Refused:
        return None


def _front_rate(bike: Bike) -> float | None:
    left, right = bike.front_spring_left_n_per_mm, bike.front_spring_right_n_per_mm
    if left is None or right is None or bike.rake_deg is None:
        return None
    return springs.fork_wheel_rate(pair_n_per_mm=float(left + right), rake_deg=float(bike.rake_deg))


def _rear_rate(bike: Bike) -> float | None:
    found = linkage_of(bike)
    if found is None or bike.rear_spring_n_per_mm is None:
        return None
    return springs.rear_wheel_rate(
        shock_n_per_mm=float(bike.rear_spring_n_per_mm),
        linkage=found,
        wheel_travel_mm=STANDS_AT * float(bike.rear_usable_travel_mm or 0),
    )


def natural_hz(bike: Bike, end: str) -> float | None:
    """Of one end without a rider, as it is pushed; None where it is not known."""
    rate, sprung = wheel_rate(bike, end), sprung_kg(bike, end)
    if rate is None or sprung is None:
        return None
    try:
        return load.ride_frequency_hz(wheel_rate_n_per_mm=rate, sprung_kg=sprung)
    except Refused:
        return None
