"""What is known of a bike when a reading is taken: its figures, its tyres, the weather."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from functools import cached_property

from jobs.advice.models import Settlement
from jobs.advice.selectors import settlement_of
from jobs.garage.models import Fitting
from jobs.setups.models import Reading
from jobs.setups.reading_kinds import LAP_TIMES, SAG, TYRE_PRESSURE, WEAR
from jobs.trackday.models import Conditions, Entry

from .bike import MOST_READINGS
from .business import business_figures
from .inputs import BusinessFigures

# The kinds whose earlier readings a calculator is given too.
HISTORY = tuple(kind.name for kind in (WEAR, LAP_TIMES, TYRE_PRESSURE, SAG))


@dataclass(frozen=True)
class ReadingContext:
    """What the readings of one entry are worked out with. ``history`` newest first."""

    entry: Entry
    figures: BusinessFigures
    tyres: Sequence[Fitting]
    history: Sequence[Reading]
    conditions: Sequence[Conditions]
    oil: str = ""
    minutes: float | None = None
    money: bool = False

    def tyre(self, end: str) -> Fitting | None:
        return next((tyre for tyre in self.tyres if tyre.end == end), None)

    def figure(self, end: str, name: str) -> Decimal | None:
        found: Decimal | None = getattr(self.entry.bike, f"{end}_{name}", None)
        return found

    def before(self, kind: str, end: str, reading: Reading | None) -> list[Reading]:
        """Readings of this kind and end that were taken before ``reading`` (None: all)."""
        alike = [one for one in self.history if one.kind == kind and one.end == end]
        if reading is None:
            return alike
        return [one for one in alike if one.accepted_at < reading.accepted_at]

    @cached_property
    def settlement(self) -> Settlement | None:
        """One query, asked for only where there are laps to compare."""
        return settlement_of(self.entry.bike)

    def settled_before(self, reading: Reading | None) -> Settlement | None:
        """What this rider's bike was settled at before ``reading``, if its laps are kept."""
        row = self.settlement
        if row is None or not row.laps or row.rider_id != self.entry.rider_id:
            return None
        # The outing it was settled at is compared with the one before, as it was that day.
        if reading is not None and (
            reading.accepted_at < row.accepted_at or _of_one_outing(reading, row)
        ):
            return None
        return row

    def air_c(self, at: datetime | None = None) -> Decimal | None:
        """Air temperature entered for a time (None: the latest) of this entry's day."""
        found = [
            one.air_c
            for one in self.conditions
            if one.trackday_id == self.entry.trackday_id and one.air_c is not None
            if at is None or one.at <= at
        ]
        return found[-1] if found else None

    def wet(self, entry: Entry | None, at: datetime) -> bool | None:
        """Whether it was wet for another entry at a time; None where nobody said."""
        day = entry.trackday_id if entry else None
        said = [one.wet for one in self.conditions if one.trackday_id == day and one.at <= at]
        return said[-1] if said else None


def _of_one_outing(reading: Reading, row: Settlement) -> bool:
    return (reading.entry_id, reading.session_id) == (row.entry_id, row.session_id)


def reading_context_of(
    entry: Entry,
    *,
    tyres: Sequence[Fitting],
    oil: str = "",
    minutes: float | None = None,
    money: bool = False,
) -> ReadingContext:
    """The context of an entry's readings. Five queries, whatever the number of readings."""
    history = list(
        Reading.objects.filter(bike=entry.bike_id, kind__in=HISTORY, withdrawn_at=None)
        .select_related("entry__trackday", "session")
        .prefetch_related("measurements")
        .order_by("-accepted_at")[:MOST_READINGS]
    )
    days = {entry.trackday_id} | {one.entry.trackday_id for one in history if one.entry}
    return ReadingContext(
        entry=entry,
        figures=business_figures(),
        tyres=tyres,
        history=history,
        conditions=list(
            Conditions.objects.filter(trackday__in=days, withdrawn_at=None).order_by("at")
        ),
        oil=oil,
        minutes=minutes,
        money=money,
    )
