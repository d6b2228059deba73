"""Taking readings: kept as entered, and in the canonical unit.

A number that is not plausible is kept with a warning; one that is not possible is refused.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from jobs.garage import words
from jobs.garage.enums import TravelPlace
from jobs.garage.models import Bike, Gauge
from jobs.people.selectors import business_get

from ..measures import AS_GOOD_AS_EQUAL_MM, COUNT, Number, Range, Switch, canonical, units
from ..models import Measurement, Reading
from ..origin import RowOrigin
from ..reading_kinds import TRAVEL, ReadingKind, reading_kind, swapped_words
from ..stops import check_oil_reason, oil_state


@dataclass(frozen=True)
class Value:
    """One number as a person entered it, or one switch: ``on`` or not.

    A switch may be entered as a count too: 1 for on, 0 for off.
    """

    name: str
    value: Decimal | None = None
    unit: str = ""
    index: int = 0
    on: bool | None = None


@dataclass(frozen=True)
class ReadingResult:
    """The reading, and what a person should look at again."""

    reading: Reading
    warnings: tuple[str, ...]


@transaction.atomic
def reading_take(
    *,
    origin: RowOrigin,
    bike: Bike,
    kind: str,
    values: Sequence[Value],
    end: str = "",
    tyre_state: str = "",
    place: str = "",
    oil: str = "",
    oil_reason: str = "",
    minutes_since_stop: Decimal | None = None,
    gauge: Gauge | None = None,
    note: str = "",
) -> ReadingResult:
    """Write one reading with its numbers.

    Oil state and minutes since the stop are worked out unless given; ``place`` is the only one
    of the end, or what the business says, unless given. A gauge's offset is taken off the
    canonical value, never off the value as entered. An ``oil`` state that overrules the
    derived one on a trackday needs ``oil_reason``.
    """
    if not values:
        raise ValidationError(_("There is no number in this reading."))
    if not end and reading_kind(kind).ends:
        raise ValidationError(_("Say which end it is: front or rear."))
    minutes = minutes_since_stop
    if minutes is None and origin.minutes_since_stop is not None:
        minutes = Decimal(str(round(origin.minutes_since_stop, 1)))
    derived = oil_state(float(minutes) if minutes is not None else None)
    overruled = oil not in ("", derived)
    if overruled and origin.entry is not None:
        check_oil_reason(derived=derived, said=oil, because=oil_reason)
    reading = Reading.objects.create(
        **origin.fields(),
        bike=bike,
        kind=kind,
        end=end,
        oil_state=oil or derived,
        oil_reason=oil_reason.strip() if overruled else "",
        tyre_state=tyre_state,
        place=_place(reading_kind(kind), end, place),
        minutes_since_stop=minutes,
        gauge=gauge,
        note=note.strip(),
    )
    rows, warnings = _rows(reading, values, gauge)
    _check_complete(kind, rows)
    _check_order(kind, rows)
    Measurement.objects.bulk_create(rows)
    return ReadingResult(reading, tuple(warnings))


def _place(kind: ReadingKind, end: str, given: str) -> str:
    """Where it was taken; empty where nobody said, or where the kind asks for no place."""
    if given and given not in kind.places.get(end, ()):
        raise ValidationError(
            _("%(kind)s at this end is not read %(place)s.")
            % {"kind": capfirst(str(kind.label)), "place": TravelPlace(given).label}
        )
    if given or not kind.places_to_choose(end):
        return given or kind.only_place(end)
    said = business_get().rear_travel_place
    return said if said in kind.places_to_choose(end) else ""


def travel_place_say(*, place: str, bike: Bike | None = None) -> list[Reading]:
    """Say where the travel readings were taken of which nobody did: of a bike, or of all bikes.

    A place that was said stays. Returns the readings that have got theirs.
    """
    kind = TRAVEL
    rows = Reading.objects.filter(kind=kind.name, place="").order_by("accepted_at")
    if bike is not None:
        rows = rows.filter(bike=bike)
    found = [row for row in rows if place in kind.places_to_choose(row.end)]
    for row in found:
        row.place = place
    Reading.objects.bulk_update(found, ["place"])
    return found


def travel_place_unsay(*, ids: Sequence[str]) -> None:
    """Take back what :func:`travel_place_say` said of these readings."""
    Reading.objects.filter(pk__in=ids).update(place="")


def _rows(
    reading: Reading, values: Sequence[Value], gauge: Gauge | None
) -> tuple[list[Measurement], list[str]]:
    """The rows to write, and what a person should look at again, each said once."""
    rows, warnings = [], []
    kind = reading_kind(reading.kind)
    for entered in values:
        known = kind.measure(entered.name)
        if known is None:
            raise ValidationError(
                _("“%(name)s” is not part of this reading.") % {"name": entered.name}
            )
        row = Measurement(reading=reading, name=entered.name, index=entered.index)
        if isinstance(known, Switch):
            row.on = _switched(entered, known)
            warnings.append(str(known.warning) if row.on else "")
        else:
            row.value, row.unit = _number(entered, known), entered.unit
            row.canonical = _canonical(row.value, row.unit, known, gauge)
            if row.canonical not in known.plausible:
                warnings.append(str(known.warning) or _unusual(row, known))
        rows.append(row)
    return rows, list(dict.fromkeys(filter(None, warnings)))


def _switched(entered: Value, known: Switch) -> bool:
    if entered.on is not None:
        return entered.on
    if entered.unit != COUNT or entered.value not in (0, 1):
        raise ValidationError(
            _("“%(name)s” is on (1) or off (0); given: %(value)s.")
            % {"name": known.on, "value": f"{_plain(entered.value)} {entered.unit}".strip()}
        )
    return bool(entered.value)


def _number(entered: Value, known: Number) -> Decimal:
    """The number entered, in a unit of its quantity and within what is possible."""
    if entered.value is None:
        raise ValidationError(_("%(name)s needs a number.") % {"name": known.words})
    known_units = units(known.quantity)
    if entered.unit not in known_units:
        raise ValidationError(
            _("%(name)s needs a unit (%(units)s); given: %(unit)s.")
            % {
                "name": known.words,
                "units": ", ".join(known_units),
                "unit": entered.unit or "–",
            }
        )
    if canonical(entered.value, entered.unit, known.quantity) not in known.possible:
        raise ValidationError(
            _("%(name)s %(value)s %(unit)s is not possible (%(low)s to %(high)s %(canonical)s).")
            % _words(entered.value, entered.unit, known, known.possible)
        )
    return entered.value


def _canonical(value: Decimal, unit: str, known: Number, gauge: Gauge | None) -> Decimal:
    inner = canonical(value, unit, known.quantity)
    if gauge is not None and gauge.unit in units(known.quantity):
        zero = canonical(Decimal(0), gauge.unit, known.quantity)
        inner -= canonical(gauge.offset, gauge.unit, known.quantity) - zero
    return inner


def _unusual(row: Measurement, known: Number) -> str:
    return _(
        "%(name)s %(value)s %(unit)s is unusual (%(low)s to %(high)s %(canonical)s): look again."
    ) % _words(row.value, row.unit, known, known.plausible)


def _words(value: Decimal | None, unit: str, known: Number, expected: Range) -> dict[str, object]:
    return {
        "name": known.words,
        "value": _plain(value),
        "unit": unit,
        "low": words.plain(expected.low),
        "high": words.plain(expected.high),
        "canonical": units(known.quantity)[0],
    }


def _plain(value: Decimal | None) -> str:
    return "–" if value is None else words.plain(value)


def _check_complete(kind: str, rows: Sequence[Measurement]) -> None:
    given = {row.name for row in rows}
    needed = (one for one in reading_kind(kind).numbers if one.needed)
    missing = [str(one.words) for one in needed if one.name not in given]
    if missing:
        raise ValidationError(_("Still missing: %(names)s.") % {"names": ", ".join(missing)})


def _check_order(kind: str, rows: Sequence[Measurement]) -> None:
    """Refuse numbers that are the wrong way round, such as a lift and a push swapped."""
    by_name = {row.name: row.canonical for row in rows if row.canonical is not None}
    for known in reading_kind(kind).numbers:
        for other in known.not_below:
            value, least = by_name.get(known.name), by_name.get(other)
            if value is not None and least is not None and value < least - AS_GOOD_AS_EQUAL_MM:
                raise ValidationError(swapped_words(kind, known.name, other))
