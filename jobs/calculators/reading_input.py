"""One reading as the calculators see it: being typed on a form, or kept in the book."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from django.http import QueryDict

from jobs.people.models import Business
from jobs.setups.measures import Switch, switched_on, unit_typed
from jobs.setups.models import Reading
from jobs.setups.reading_kinds import ReadingKind, reading_kind

from .bike import plain

Typed = tuple[str, str]  # the number as typed, its unit


@dataclass(frozen=True)
class ReadingInput:
    """Kind, end, numbers and switches by name; ``minutes`` since the stop where known."""

    kind: str
    end: str
    values: Mapping[str, list[Typed]]
    switches: Mapping[str, bool] = field(default_factory=dict)
    tyre_state: str = ""
    place: str = ""
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
        numbers = (value for typed in self.values.values() for value, _unit in typed)
        return bool(self.switches) or any(numbers)


def reading_from_book(reading: Reading) -> ReadingInput:
    """A reading of the book; its measurements are prefetched."""
    values: dict[str, list[Typed]] = {}
    switches: dict[str, bool] = {}
    for one in reading.measurements.all():
        if one.on is None:
            values.setdefault(one.name, []).append((plain(one.value), one.unit))
        else:
            switches[one.name] = one.on
    since = reading.minutes_since_stop
    return ReadingInput(
        kind=reading.kind,
        end=reading.end,
        values=values,
        switches=switches,
        tyre_state=reading.tyre_state,
        place=reading.place,
        oil_state=reading.oil_state,
        minutes=None if since is None else float(since),
        reading=reading,
    )


def readings_from_sheet(
    kind: ReadingKind, typed: QueryDict, business: Business
) -> list[ReadingInput]:
    """The sheet's own form: each end's cells with its name before theirs, one unit a quantity,
    ``unit_length``, and the laps as text."""
    if kind.as_lap_times:
        lines = typed.get(kind.name, "")
        return [ReadingInput(kind=kind.name, end="", values={kind.name: [(lines, "")]})]
    return [_typed_at(kind, end, typed, business) for end in kind.ends or ("",)]


def _typed_at(kind: ReadingKind, end: str, typed: QueryDict, business: Business) -> ReadingInput:
    prefix = f"{end}-" if end else ""
    values = {
        one.name: [
            (text, unit_typed(one.quantity, typed, business))
            for text in typed.getlist(prefix + one.name)
        ]
        for one in kind.numbers
    }
    return ReadingInput(
        kind=kind.name,
        end=end,
        values=values,
        switches=_switches(kind, typed, prefix),
        tyre_state=typed.get("tyre_state", ""),
        place=_place(kind, end, typed.get(f"{prefix}place", "")),
        oil_state=typed.get("oil", ""),
        extra={
            "target": typed.get("target", ""),
            "target_unit": typed.get("unit_pressure", "") or business.pressure_unit,
        },
    )


def reading_from_round(
    asked: Mapping[str, str], number: int, typed: Mapping[str, str], business: Business
) -> ReadingInput:
    """One reading of a task's card: ``reading-0-hanging``."""
    kind, prefix = reading_kind(asked["kind"]), f"reading-{number}-"
    values = {
        one.name: [(typed.get(prefix + one.name, ""), unit_typed(one.quantity, typed, business))]
        for one in kind.numbers
    }
    return ReadingInput(
        kind=kind.name,
        end=asked.get("end", ""),
        values=values,
        switches=_switches(kind, typed, prefix),
        tyre_state=asked.get("tyre_state", "") or kind.usual_tyre_state,
        place=_place(kind, asked.get("end", ""), typed.get(f"{prefix}place", "")),
    )


def _place(kind: ReadingKind, end: str, typed: str) -> str:
    return typed if typed in kind.places_to_choose(end) else kind.only_place(end)


def _switches(kind: ReadingKind, typed: Mapping[str, str], prefix: str = "") -> dict[str, bool]:
    """The switches that are on; one that is off says nothing yet."""
    switches = (one for one in kind.measures if isinstance(one, Switch))
    return {one.name: True for one in switches if switched_on(one, typed, prefix)}
