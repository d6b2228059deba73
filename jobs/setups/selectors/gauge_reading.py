"""The pressure last read of a tyre: a change of its pressure starts from it."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from jobs.garage.enums import Unit
from jobs.tuning.units import from_canonical

from ..models import Reading
from ..reading_kinds import TYRE_PRESSURE
from .positions import Standing

SHOWN = {Unit.PSI: Decimal("0.1"), Unit.KPA: Decimal(1), Unit.BAR: Decimal("0.01")}


@dataclass(frozen=True)
class GaugeReading:
    """A pressure read, in the adjuster's unit and to the last figure a gauge shows."""

    position: Decimal
    reading: Reading


def gauge_reading(standing: Standing, readings: Iterable[Reading]) -> GaugeReading | None:
    """The newest of ``readings`` (oldest first) taken of this tyre since it was last set.

    None too for anything that is no pressure, or is kept without a unit of pressure.
    """
    adjuster, row = standing.adjuster, standing.row
    shown = SHOWN.get(Unit(adjuster.unit))
    if not standing.is_pressure or shown is None:
        return None
    found = None
    for reading in readings:
        of_it = reading.kind == TYRE_PRESSURE.name and reading.end == adjuster.end
        since = row is None or reading.accepted_at > row.accepted_at
        if of_it and since and standing.of_this_tyre(reading):
            found = reading
    if found is None:
        return None
    kpa = found.canonical("pressure")[0]
    value = from_canonical(value=float(kpa), unit=adjuster.unit, quantity="pressure")
    return GaugeReading(Decimal(value).quantize(shown), found)
