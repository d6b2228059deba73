"""What every cell for a number is made with: its unit, one tap of its stepper, its last value."""

from jobs.garage import words
from jobs.people.models import Business
from jobs.setups.measures import PRESSURE, TEMPERATURE, Measure, shown_in, units
from jobs.setups.models import Measurement
from jobs.tuning.units import symbol_of

# One tap of a stepper, by unit.
STEPS = {"psi": "0.5", "kPa": "2", "bar": "0.05", "degC": "1", "degF": "2", "mm": "1", "s": "0.1"}


def unit_of(measure: Measure, business: Business) -> str:
    """The business's own unit where it has one, else the canonical one."""
    if measure.quantity == PRESSURE:
        return business.pressure_unit
    if measure.quantity == TEMPERATURE:
        return business.temperature_unit
    return units(measure.quantity)[0]


def most_of(measure: Measure, unit: str) -> str:
    """Temperatures are read in whole degrees."""
    if measure.quantity != TEMPERATURE:
        return ""
    return words.plain(shown_in(measure.high, unit, TEMPERATURE, places="1"))


def before_of(bike_id: int, kinds: set[str]) -> dict[tuple[str, str, str], str]:
    """The bike's last value of each number, as it was entered."""
    numbers = (
        Measurement.objects.filter(
            reading__bike=bike_id, reading__kind__in=kinds, reading__withdrawn_at=None
        )
        .order_by("-reading__accepted_at")
        .values_list("reading__kind", "reading__end", "name", "value", "unit")
    )
    found: dict[tuple[str, str, str], str] = {}
    for kind, end, name, value, unit in numbers[:60]:
        found.setdefault((kind, end, name), f"{words.plain(value)} {symbol_of(unit)}")
    return found
