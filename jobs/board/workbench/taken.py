"""One reading as the calculators see it: being typed on a form, or kept in the book."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from django.http import QueryDict

from jobs.people.models import Business
from jobs.setups.enums import ReadingKind
from jobs.setups.measures import COUNT, MEASURES, Measure, units
from jobs.setups.models import Reading
from jobs.tuning.terms import TyreState

from .bike import plain

Typed = tuple[str, str]  # the number as typed, its unit


@dataclass(frozen=True)
class Taken:
    """Kind, end and numbers by name; ``minutes`` since the stop where they are known."""

    kind: str
    end: str
    values: Mapping[str, list[Typed]]
    tyre_state: str = ""
    oil_state: str = ""
    minutes: float | None = None
    reading: Reading | None = None
    extra: Mapping[str, str] = field(default_factory=dict)

    def inputs(self, *names: str) -> dict[str, str]:
        """The named numbers as a calculator's inputs, each in the unit it was typed in."""
        found: dict[str, str] = {}
        for name in names:
            for value, unit in self.values.get(name, [])[:1]:
                found |= {name: value, f"{name}_unit": unit}
        return found

    @property
    def anything(self) -> bool:
        return any(value for typed in self.values.values() for value, _unit in typed)


def taken_from_book(reading: Reading) -> Taken:
    """A reading of the book; its measurements are prefetched."""
    values: dict[str, list[Typed]] = {}
    for one in reading.measurements.all():
        values.setdefault(one.name, []).append((plain(one.value), one.unit))
    since = reading.minutes_since_stop
    return Taken(
        kind=reading.kind,
        end=reading.end,
        values=values,
        tyre_state=reading.tyre_state,
        oil_state=reading.oil_state,
        minutes=None if since is None else float(since),
        reading=reading,
    )


def taken_from_sheet(kind: str, typed: QueryDict, business: Business) -> Taken:
    """The sheet's own form: one unit a quantity, ``unit_length``, and the laps as text."""
    if kind == ReadingKind.LAPS:
        return Taken(kind=kind, end="", values={"laps": [(typed.get("laps", ""), "")]})
    values = {
        one.name: [
            (text, typed.get(f"unit_{one.quantity}") or unit_of(one, business))
            for text in typed.getlist(one.name)
        ]
        for one in MEASURES[kind]
    }
    return Taken(
        kind=kind,
        end=typed.get("end", ""),
        values=values,
        tyre_state=typed.get("tyre_state", ""),
        extra={
            "target": typed.get("target", ""),
            "target_unit": typed.get("unit_pressure", "") or business.pressure_unit,
        },
    )


def taken_from_round(
    asked: Mapping[str, str], number: int, typed: Mapping[str, str], business: Business
) -> Taken:
    """One reading of a task's card: ``reading-0-hanging``, in the business's units."""
    kind = asked["kind"]
    values = {
        one.name: [(typed.get(f"reading-{number}-{one.name}", ""), unit_of(one, business))]
        for one in MEASURES[kind]
    }
    return Taken(
        kind=kind,
        end=asked.get("end", ""),
        values=values,
        tyre_state=asked.get("tyre_state", "") or _usual_state(kind),
    )


def _usual_state(kind: str) -> str:
    return TyreState.TRACK if kind == ReadingKind.PRESSURE else ""


def unit_of(one: Measure, business: Business) -> str:
    """The business's unit where it has one, else the canonical one."""
    if one.quantity == COUNT:
        return ""
    own = {"pressure": business.pressure_unit, "temperature": business.temperature_unit}
    return own.get(one.quantity) or units(one.quantity)[0]
