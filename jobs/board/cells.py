"""What a form needs to show the input of one number: step, highest value, last value."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import F, Window
from django.db.models.functions import RowNumber

from jobs.garage import words
from jobs.garage.enums import TravelPlace
from jobs.people.models import Business
from jobs.setups.measures import COUNT, TEMPERATURE, Number, canonical, shown_in, units
from jobs.setups.models import Measurement
from jobs.setups.reading_kinds import ReadingKind, swapped_words
from jobs.tuning.units import symbol_of

# By how much one tap of a stepper changes the number, by unit.
STEPS = {"psi": "0.5", "kPa": "2", "bar": "0.05", "degC": "1", "degF": "2", "mm": "1", "s": "0.1"}
# To which place a value of another unit is rounded.
PLACES = {"bar": "0.01", "kPa": "1"}


def step_of(measure: Number, unit: str) -> str:
    return measure.step or STEPS.get(unit, "1")


def most_of(measure: Number, unit: str) -> str:
    """Temperatures are read in whole degrees."""
    if measure.quantity != TEMPERATURE:
        return ""
    return words.plain(shown_in(measure.plausible.high, unit, TEMPERATURE, places="1"))


def ranges_of(measure: Number) -> str:
    """The ranges of a number as JSON, for the page to check while it is typed.

    By unit: the lowest and highest that are possible, then those that are usual.
    """
    found = {}
    for unit in units(measure.quantity):
        ends = (
            measure.possible.low, measure.possible.high,
            measure.plausible.low, measure.plausible.high,
        )  # fmt: skip
        found[unit] = [
            float(end if measure.quantity == COUNT else shown_in(end, unit, measure.quantity))
            for end in ends
        ]
    return json.dumps(found)


def swaps_of(kind: str, measure: Number) -> str:
    """The numbers it cannot be below, as JSON: the words to say by the name of each."""
    return json.dumps(
        {other: swapped_words(kind, measure.name, other) for other in measure.not_below}
    )


@dataclass(frozen=True)
class PlacePick:
    """One place of an end where a reading may have been taken."""

    end: str
    value: str
    label: str
    chosen: bool


def places_of(kind: ReadingKind, business: Business, given: str = "") -> list[PlacePick]:
    """The places to choose from, end by end; the usual one is chosen until another is.

    Usual is what the business says, else the first of the kind: a ring at the rear sits on
    the shock's shaft.
    """
    found = []
    for end in kind.ends:
        places = [place.value for place in kind.places_to_choose(end)]
        wanted = (given, business.rear_travel_place, *places)
        usual = next((place for place in wanted if place in places), "")
        found += [
            PlacePick(end.value, place, str(TravelPlace(place).label), place == usual)
            for place in places
        ]
    return found


@dataclass(frozen=True)
class LastValue:
    """The last value of a number, as it was entered."""

    value: Decimal
    unit: str

    def __str__(self) -> str:
        return f"{words.plain(self.value)} {symbol_of(self.unit)}".strip()

    def in_unit(self, unit: str, quantity: str) -> str:
        """In the unit of a cell, where the steppers begin with it: "2.24 bar" of 32.5 psi."""
        if unit == self.unit or quantity == COUNT:
            return str(self)
        inside = canonical(self.value, self.unit, quantity)
        return str(
            LastValue(shown_in(inside, unit, quantity, places=PLACES.get(unit, "0.1")), unit)
        )


LastValues = dict[tuple[str, str, str], LastValue]  # by kind of reading, end and name


def before_of(bike_id: int, kinds: set[str]) -> LastValues:
    """The bike's last value of each number: one query."""
    return befores_of([bike_id], kinds)[bike_id]


def befores_of(bike_ids: Iterable[int], kinds: set[str]) -> dict[int, LastValues]:
    """The last value of each number of each of these bikes: one query for all of them."""
    found: dict[int, LastValues] = {bike: {} for bike in bike_ids}
    whose = ("reading__bike", "reading__kind", "reading__end", "name")
    numbers = (
        Measurement.objects.filter(
            reading__bike__in=found,
            reading__kind__in=kinds,
            reading__withdrawn_at=None,
            value__isnull=False,  # a switch has none
        )
        .annotate(
            place=Window(RowNumber(), partition_by=whose, order_by=F("reading__accepted_at").desc())
        )
        .filter(place=1)
        .order_by()
        .values_list(*whose, "value", "unit")
    )
    for bike, kind, end, name, value, unit in numbers:
        found[bike][kind, end, name] = LastValue(value, unit)
    return found
