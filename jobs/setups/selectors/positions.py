"""Where every adjuster stands, and where it stood when the bike arrived."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db.models import OuterRef, Q, QuerySet, Subquery

from jobs.garage import words
from jobs.garage.enums import FittingKind, Function
from jobs.garage.models import Adjuster, Bike, Fitting
from jobs.trackday import clock
from jobs.trackday.models import Entry

from ..enums import RowKind, RowState, SetupKind
from ..models import Adjustment, KeptSetup, Reading


@dataclass(frozen=True)
class Standing:
    """One adjuster: the row it stands at, and where it stood at arrival.

    A tyre pressure stands at nothing once that tyre has come off: ``tyre_off_at`` is when,
    ``before`` what was set until then.
    """

    adjuster: Adjuster
    row: Adjustment | None
    arrived: Decimal | None
    tyre_off_at: datetime | None = None
    before: Adjustment | None = None

    @property
    def position(self) -> Decimal | None:
        return self.row.to_position if self.row else None

    @property
    def moved(self) -> bool:
        return None not in (self.arrived, self.position) and self.position != self.arrived

    @property
    def is_pressure(self) -> bool:
        return self.adjuster.function == Function.TYRE_PRESSURE

    def of_this_tyre(self, reading: Reading) -> bool:
        """Whether it was read since a tyre last came off here."""
        return self.tyre_off_at is None or reading.done_at >= self.tyre_off_at

    @property
    def name(self) -> str:
        return words.function_name(self.adjuster)

    @property
    def full_name(self) -> str:
        return words.adjuster_name(self.adjuster)

    @property
    def now_words(self) -> str:
        return words.position_short(self.adjuster, self.position)

    @property
    def arrived_words(self) -> str:
        return words.position_short(self.adjuster, self.arrived)

    @property
    def since_arrived(self) -> str:
        return words.difference(self.adjuster, self.arrived, self.position)

    @property
    def past_range(self) -> bool:
        """It stands past the counted range; screens show a warning."""
        a = self.adjuster
        return self.position is not None and not a.lowest <= self.position <= a.highest

    @property
    def unsure(self) -> bool:
        """Counted twice, and the counts more than one step apart."""
        row = self.row
        if row is None or row.second_count is None:
            return False
        return abs(row.second_count - row.to_position) > self.adjuster.step


def standings_of_bike(bike: Bike) -> list[Standing]:
    """Where every adjuster of the bike stands; nothing is known of an arrival. Two queries."""
    return _standings(bike.pk, None)


def standings_of_entry(entry: Entry) -> list[Standing]:
    """Where every adjuster stands, with what it stood at when the bike arrived. Two queries."""
    return _standings(entry.bike_id, entry)


def standings_of_day(entry: Entry) -> list[Standing]:
    """Where every adjuster stood at the end of the entry's day; while it runs, stands now.

    What was done later to the bike counts nothing. Two queries.
    """
    _begins, ends = clock.bounds(entry.trackday)
    return _standings(entry.bike_id, entry, until=ends)


def arrived_positions(entry: Entry) -> dict[int, Decimal]:
    """What the bike arrived with, by adjuster id: the kept setup that is taken by itself."""
    return {s.adjuster.pk: s.arrived for s in standings_of_entry(entry) if s.arrived is not None}


def _standings(
    bike_id: int, entry: Entry | None, *, until: datetime | None = None
) -> list[Standing]:
    """``until``: rows done from then on count only if they are of this very entry."""
    last = Q() if until is None else Q(entry=entry) | Q(done_at__lt=until)
    adjusters = list(
        Adjuster.objects.filter(bike=bike_id).annotate(
            last_row=_one_row("-seq", last),
            first_row=_one_row("seq", Q(entry=entry)) if entry else _one_row("-seq", last),
            tyre_off_at=_tyre_off_at(until),
        )
    )
    ids = {pk for a in adjusters for pk in (a.last_row, a.first_row) if pk}
    rows = Adjustment.objects.filter(pk__in=ids).select_related("by")
    by_id = {row.pk: row for row in rows}
    return [
        _standing(a, by_id.get(a.last_row), by_id.get(a.first_row), on_a_day=entry is not None)
        for a in adjusters
    ]


def _standing(
    adjuster: Any, last: Adjustment | None, first: Adjustment | None, *, on_a_day: bool
) -> Standing:
    arrived = _arrived(first, last) if on_a_day else None
    off_at = adjuster.tyre_off_at if adjuster.function == Function.TYRE_PRESSURE else None
    if last is not None and off_at is not None and last.done_at < off_at:
        return Standing(adjuster, None, arrived, off_at, before=last)
    return Standing(adjuster, last, arrived, off_at)


def _tyre_off_at(until: datetime | None) -> Subquery:
    """When a tyre last came off the adjuster's end: what was set before was not this one."""
    off = Fitting.objects.filter(
        Q(removed_at__isnull=False) if until is None else Q(removed_at__lt=until),
        bike=OuterRef("bike"), end=OuterRef("end"), kind=FittingKind.TYRE,
    )  # fmt: skip
    return Subquery(off.order_by("-removed_at").values("removed_at")[:1])


def _one_row(order: str, narrowed: Q) -> Subquery:
    """The id of an adjuster's first or last placed row, found in an index."""
    rows = Adjustment.objects.filter(narrowed, adjuster=OuterRef("pk"), state=RowState.PLACED)
    return Subquery(rows.order_by(order).values("pk")[:1])


def _arrived(first: Adjustment | None, last: Adjustment | None) -> Decimal | None:
    """Where it stood before the day's first change; without a change, where it stands now."""
    if first is None:
        return last.to_position if last else None
    return first.from_position if first.kind == RowKind.CHANGE else first.to_position


def last_time_at_venue(entry: Entry) -> tuple[Entry, dict[int, Decimal]] | None:
    """The bike's last entry at this venue before this one, and what it ended the day at."""
    earlier = _earlier(entry).filter(trackday__venue=entry.trackday.venue_id).first()
    return (earlier, _ended_at(earlier)) if earlier else None


def entry_before_on_bike(entry: Entry) -> Entry | None:
    """The bike's entry before this one, wherever that was."""
    return _earlier(entry).first()


@dataclass(frozen=True)
class SetupBefore:
    """What a bike last stood at on an earlier day: kept under a name, else as it left."""

    at: datetime
    entry: Entry | None
    positions: dict[int, Decimal]
    kept: KeptSetup | None = None


def setup_before(entry: Entry) -> SetupBefore | None:
    """The last setup kept before this day, else what the bike left its last day with.

    The days on which nothing was counted or changed do not count. At most five queries.
    """
    since = entry.trackday.date
    kept = (
        KeptSetup.objects.filter(bike=entry.bike_id, withdrawn_at=None)
        .exclude(kind=SetupKind.ARRIVED)
        .filter(Q(entry=None) | Q(entry__trackday__date__lt=since))
        .select_related("entry__trackday__venue", "entry__rider")
        .prefetch_related("positions")
        .order_by("-accepted_at")
        .first()
    )
    if kept is not None:
        positions = {one.adjuster_id: one.position for one in kept.positions.all()}
        return SetupBefore(kept.done_at, kept.entry, positions, kept)
    last = (
        Adjustment.objects.filter(
            adjuster__bike=entry.bike_id, state=RowState.PLACED, entry__trackday__date__lt=since
        )
        .select_related("entry__trackday__venue", "entry__rider")
        .order_by("-entry__trackday__date", "-accepted_at")
        .first()
    )
    if last is None or last.entry is None:
        return None
    return SetupBefore(last.done_at, last.entry, _ended_at(last.entry))


def _earlier(entry: Entry) -> QuerySet[Entry]:
    return (
        Entry.objects.filter(bike=entry.bike_id, trackday__date__lt=entry.trackday.date)
        .select_related("trackday__venue", "group")
        .order_by("-trackday__date")
    )


def _ended_at(entry: Entry) -> dict[int, Decimal]:
    adjusters = Adjuster.objects.filter(bike=entry.bike_id).annotate(
        ended=Subquery(
            Adjustment.objects.filter(adjuster=OuterRef("pk"), state=RowState.PLACED, entry=entry)
            .order_by("-seq")
            .values("to_position")[:1]
        )
    )
    return {a.pk: a.ended for a in adjusters if a.ended is not None}
