"""Taking readings: kept as entered, and in the canonical unit; doubted, never refused."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from jobs.garage import words
from jobs.garage.models import Bike, Gauge

from ..enums import ReadingKind
from ..made import Made
from ..measures import MEASURES, Measure, canonical, measure, units
from ..models import Measurement, Reading
from ..stops import oil_state

ENDLESS = {ReadingKind.LAPS}  # a lap time belongs to no end of the bike


@dataclass(frozen=True)
class Value:
    """One number as a person entered it."""

    name: str
    value: Decimal
    unit: str
    index: int = 0


@dataclass(frozen=True)
class Taken:
    """The reading, and what a person should look at again."""

    reading: Reading
    doubts: tuple[str, ...]


@transaction.atomic
def reading_take(
    *,
    made: Made,
    bike: Bike,
    kind: str,
    values: Sequence[Value],
    end: str = "",
    tyre_state: str = "",
    oil: str = "",
    minutes_since_stop: Decimal | None = None,
    gauge: Gauge | None = None,
    note: str = "",
) -> Taken:
    """Write one reading with its numbers.

    Oil state and minutes since the stop are worked out unless given. A gauge's offset is
    taken off the canonical value, never off the value as entered.
    """
    if not values:
        raise ValidationError(_("There is no number in this reading."))
    if not end and kind not in ENDLESS:
        raise ValidationError(_("Say which end it is: front or rear."))
    minutes = minutes_since_stop
    if minutes is None and made.minutes_since_stop is not None:
        minutes = Decimal(str(round(made.minutes_since_stop, 1)))
    derived = oil_state(float(minutes) if minutes is not None else None)
    reading = Reading.objects.create(
        **made.fields(),
        bike=bike,
        kind=kind,
        end=end,
        oil_state=oil or derived,
        tyre_state=tyre_state,
        minutes_since_stop=minutes,
        gauge=gauge,
        note=note.strip(),
    )
    rows, doubts = _rows(reading, values, gauge)
    _check_complete(kind, rows)
    Measurement.objects.bulk_create(rows)
    return Taken(reading, tuple(doubts))


def _rows(
    reading: Reading, values: Sequence[Value], gauge: Gauge | None
) -> tuple[list[Measurement], list[str]]:
    rows, doubts = [], []
    for entered in values:
        known = measure(reading.kind, entered.name)
        if known is None:
            raise ValidationError(
                _("“%(name)s” is not part of this reading.") % {"name": entered.name}
            )
        inner = _canonical(entered, known, gauge)
        rows.append(
            Measurement(
                reading=reading,
                name=entered.name,
                index=entered.index,
                value=entered.value,
                unit=entered.unit,
                canonical=inner,
            )
        )
        if not known.low <= inner <= known.high:
            doubts.append(_doubt(entered, known))
    return rows, doubts


def _canonical(entered: Value, known: Measure, gauge: Gauge | None) -> Decimal:
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
    value = canonical(entered.value, entered.unit, known.quantity)
    if gauge is not None and gauge.unit in known_units:
        zero = canonical(Decimal(0), gauge.unit, known.quantity)
        value -= canonical(gauge.offset, gauge.unit, known.quantity) - zero
    return value


def _doubt(entered: Value, known: Measure) -> str:
    return _(
        "%(name)s %(value)s %(unit)s is unusual (%(low)s to %(high)s %(canonical)s): look again."
    ) % {
        "name": known.words,
        "value": words.plain(entered.value),
        "unit": entered.unit,
        "low": words.plain(known.low),
        "high": words.plain(known.high),
        "canonical": units(known.quantity)[0],
    }


def _check_complete(kind: str, rows: Sequence[Measurement]) -> None:
    given = {row.name for row in rows}
    missing = [str(m.words) for m in MEASURES[kind] if m.needed and m.name not in given]
    if missing:
        raise ValidationError(_("Still missing: %(names)s.") % {"names": ", ".join(missing)})
