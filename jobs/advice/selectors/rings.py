"""The rings of the book as ``jobs.tuning.outlook`` works with them, with the changes between them.

A ring is a travel reading of an outing. Whether it was put back is said with the reading before:
a ring is read, then pushed back for the next outing.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from jobs.garage.enums import End, FittingKind, Function
from jobs.garage.models import Bike, Fitting
from jobs.setups.models import Reading
from jobs.setups.reading_kinds import LAP_TIMES, TRAVEL
from jobs.trackday.models import Conditions, Entry
from jobs.tuning.outlook import Circumstances, RingPrior, RingRead, prior_of
from jobs.tuning.terms import TravelPlace

from .change_sets import ChangeSet, change_sets_of
from .ring_shifts import shift_of_change

# Where the ring of each end sits.
RING_PLACE = {End.FRONT: TravelPlace.FORK_LEG, End.REAR: TravelPlace.SHOCK_SHAFT}
# Parts whose effect on a ring cannot be told from the book: their rates are words there.
UNTOLD_PARTS = (FittingKind.SPRING, FittingKind.OIL, FittingKind.LINKAGE)


@dataclass(frozen=True)
class RingRow:
    """One ring of the book: the reading, and what the arithmetic is told of it."""

    reading: Reading
    ring: RingRead


@dataclass(frozen=True)
class RingsOfBike:
    """One bike's rings by end, and the changes about them."""

    bike_id: int
    by_end: Mapping[str, list[RingRow]]
    book: "_Book"

    def rows(self, end: str) -> list[RingRow]:
        return list(self.by_end.get(end, ()))

    def around(self, end: str, at: datetime) -> tuple[list[RingRow], list[RingRow]]:
        """The rings accepted before a time, and those after it."""
        rows = self.rows(end)
        before = [row for row in rows if row.reading.accepted_at < at]
        return before, rows[len(before) :]

    def changed_between(self, end: str, before: RingRow, after: RingRow) -> list[str]:
        """The names of the changes between two rings, and of parts fitted there."""
        made = self.book.changes.get((self.bike_id, end), ())
        sets = _between(made, before.reading, after.reading.accepted_at)
        parts = _parts_between(self.book, self.bike_id, end, before.reading, after.reading.done_at)
        return [*(name_of_function(one) for one in sets), *_untold(parts, sets)]

    def changed_since(self, end: str) -> list[str]:
        """The names of the changes since the last ring, and of parts fitted."""
        rows = self.rows(end)
        last = rows[-1].reading if rows else None
        sets = _between(self.book.changes.get((self.bike_id, end), ()), last, None)
        parts = _parts_between(self.book, self.bike_id, end, last, None)
        return [*(name_of_function(one) for one in sets), *_untold(parts, sets)]

    def circumstances(self, entry: Entry, end: str, at: datetime) -> Circumstances:
        """Where and with what an entry rides, at a time."""
        return _circumstances(entry, end, at, self.book)


def name_of_function(change_set: ChangeSet) -> str:
    """What a change moved, as it is said."""
    return str(change_set.first.adjuster.get_function_display())


@dataclass
class _Book:
    """What is read once for all rings."""

    laps: Mapping[tuple[int | None, int | None], int]
    weather: Mapping[int, Sequence[Conditions]]
    fittings: Mapping[int, Sequence[Fitting]]
    changes: Mapping[tuple[int, str], list[ChangeSet]] = field(default_factory=dict)


def ring_prior(end: str, own: Mapping[str, tuple[float, float]]) -> RingPrior:
    """What is believed of rings at an end: the business's own figure, else the shipped one."""
    return prior_of(place=RING_PLACE[End(end)], own=own)


def rings_of(**narrowed: object) -> dict[tuple[int, str], list[RingRow]]:
    """The rings of every bike and end, oldest first; the same queries whatever there is.

    ``narrowed`` are filters on readings: ``bike=...``.
    """
    by_end, book = _read(**narrowed)
    return {key: _rows(readings, book) for key, readings in by_end.items()}


def rings_of_bike(bike: Bike) -> "RingsOfBike":
    """The rings of one bike, with what else its book says about them: eight queries."""
    return rings_of_bikes({bike.pk})[bike.pk]


def rings_of_bikes(bikes: Collection[int]) -> dict[int, "RingsOfBike"]:
    """The same of several bikes, in as many queries."""
    by_end, book = _read(bike__in=bikes)
    return {
        bike: RingsOfBike(
            bike, {end: _rows(rows, book) for (of, end), rows in by_end.items() if of == bike}, book
        )
        for bike in bikes
    }


def _read(**narrowed: object) -> tuple[dict[tuple[int, str], list[Reading]], "_Book"]:
    rows = (
        Reading.objects.filter(
            kind=TRAVEL.name, withdrawn_at=None, session__isnull=False, **narrowed
        )
        .select_related("bike", "entry__rider", "entry__trackday__venue", "session")
        .prefetch_related("measurements")
        .order_by("accepted_at")
    )
    by_end: dict[tuple[int, str], list[Reading]] = defaultdict(list)
    for row in rows:
        if row.entry and row.canonical("used"):
            by_end[row.bike_id, row.end].append(row)
    return by_end, _book({bike for bike, _end in by_end})


def _book(bikes: set[int]) -> _Book:
    changes: dict[tuple[int, str], list[ChangeSet]] = defaultdict(list)
    for change_set in change_sets_of(adjuster__bike__in=bikes):
        changes[change_set.first.adjuster.bike_id, change_set.end].append(change_set)
    fittings: dict[int, list[Fitting]] = defaultdict(list)
    for part in Fitting.objects.filter(bike__in=bikes).order_by("-fitted_at"):
        fittings[part.bike_id].append(part)
    weather: dict[int, list[Conditions]] = defaultdict(list)
    days = Conditions.objects.filter(trackday__entries__bike__in=bikes, withdrawn_at=None)
    for said in days.distinct().order_by("at"):
        weather[said.trackday_id].append(said)
    laps = {
        (row.entry_id, row.session_id): len(row.canonical("lap"))
        for row in Reading.objects.filter(kind=LAP_TIMES.name, withdrawn_at=None, bike__in=bikes)
        .prefetch_related("measurements")
        .order_by("accepted_at")
    }
    return _Book(laps, weather, fittings, changes)


def _rows(readings: Sequence[Reading], book: _Book) -> list[RingRow]:
    """The rings of one bike and end."""
    found: list[RingRow] = []
    for reading in readings:
        found.append(RingRow(reading, _ring(reading, found[-1] if found else None, book)))
    return found


def _ring(reading: Reading, before: RingRow | None, book: _Book) -> RingRead:
    last = before.reading if before else None
    made = book.changes.get((reading.bike_id, reading.end), ())
    changes = _between(made, last, reading.accepted_at)
    at_mm = before.ring.used_mm if before else None
    assert reading.entry is not None
    shifts = [shift_of_change(one, at_mm) for one in changes]
    parts = _parts_between(book, reading.bike_id, reading.end, last, reading.done_at)
    untold = [str(one.function) for one, told in zip(changes, shifts, strict=True) if told is None]
    return RingRead(
        used_mm=float(reading.canonical("used")[0]),
        place=reading.place,
        seen_in=_circumstances(reading.entry, reading.end, reading.done_at, book),
        laps=book.laps.get((reading.entry_id, reading.session_id)),
        put_back=before.reading.switched("reset") if before else None,
        shifts=tuple(told for told in shifts if told is not None),
        untold=(*untold, *_untold(parts, changes)),
    )


def _circumstances(entry: Entry, end: str, at: datetime, book: _Book) -> Circumstances:
    """Rider, venue, surface and tyre of an entry at a time."""
    weather = [said.wet for said in book.weather.get(entry.trackday_id, ()) if said.at <= at]
    tyre = _tyre_on(book.fittings.get(entry.bike_id, ()), end, at)
    return Circumstances(
        rider=str(entry.rider_id),
        venue=str(entry.trackday.venue_id),
        surface="wet" if weather and weather[-1] else "dry",
        tyre=f"{tyre.name} {tyre.compound}".strip() if tyre else "",
    )


def _between(
    changes: Iterable[ChangeSet], last: Reading | None, until: datetime | None
) -> list[ChangeSet]:
    """The changes that the book accepted after one ring, until the next; ``until`` None: now."""
    return [
        one
        for one in changes
        if last is not None
        and last.accepted_at < one.made_at
        and (until is None or one.made_at <= until)
        and one.function != Function.TYRE_PRESSURE
    ]


def _parts_between(
    book: _Book, bike_id: int, end: str, last: Reading | None, until: datetime | None
) -> list[Fitting]:
    """The parts fitted there of a kind whose effect on a ring cannot be told."""
    return [
        part
        for part in book.fittings.get(bike_id, ())
        if last is not None
        and part.kind in UNTOLD_PARTS
        and part.end in ("", end)
        and last.done_at < part.fitted_at
        and (until is None or part.fitted_at <= until)
    ]


def _untold(parts: Iterable[Fitting], changes: Iterable[ChangeSet]) -> list[str]:
    """Their names; without springs whose rates the book has as a change of the same time."""
    told = any(one.function == Function.SPRING for one in changes)
    return [
        part.name or part.kind for part in parts if not (told and part.kind == FittingKind.SPRING)
    ]


def _tyre_on(fittings: Iterable[Fitting], end: str, at: datetime) -> Fitting | None:
    """``fittings``: the newest first."""
    return next(
        (
            one
            for one in fittings
            if one.kind == FittingKind.TYRE and one.end == end and one.fitted_at <= at
            and (one.removed_at is None or one.removed_at > at)
        ),
        None,
    )  # fmt: skip
