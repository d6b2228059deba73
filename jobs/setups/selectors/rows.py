"""Rows of the book as screens ask for them: open, unplaced, last."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, OuterRef, Q, QuerySet

from jobs.garage.models import Bike
from jobs.trackday.models import Entry, Trackday

from ..enums import RowState
from ..models import Adjustment, BikePhoto, Expectation, Finding, Judgement, Order, Reading
from ..reading_kinds import TRAVEL

MOST_READINGS = 120


def expectations_open(bike: Bike) -> QuerySet[Expectation]:
    """What was expected and is not judged yet, oldest first; of one leg, or ``of_both_legs``."""
    judged = Judgement.objects.filter(expectation=OuterRef("pk"), withdrawn_at=None)
    other_leg = Adjustment.objects.filter(
        linked=OuterRef("adjustment__linked"),
        adjuster__pair=OuterRef("adjustment__adjuster__pair"),
        from_position=OuterRef("adjustment__from_position"),
        to_position=OuterRef("adjustment__to_position"),
    ).exclude(pk=OuterRef("adjustment"))
    return (
        Expectation.objects.filter(adjustment__adjuster__bike=bike, withdrawn_at=None)
        .annotate(of_both_legs=Exists(other_leg))
        .exclude(adjustment__state=RowState.WITHDRAWN)
        .filter(~Exists(judged))
        .select_related("adjustment__adjuster", "adjustment__session", "adjustment__by", "session")
    )


def expectations_unjudged(entry_ids: Iterable[int]) -> QuerySet[Expectation]:
    """What was expected of these entries' placed changes and nobody has judged, oldest first."""
    judged = Judgement.objects.filter(expectation=OuterRef("pk"), withdrawn_at=None)
    return Expectation.objects.filter(
        ~Exists(judged),
        entry__in=list(entry_ids),
        adjustment__state=RowState.PLACED,
        withdrawn_at=None,
    ).select_related("entry")


def rows_unplaced(
    *, bike: Bike | None = None, trackday: Trackday | None = None
) -> QuerySet[Adjustment]:
    """Changes that wait for a person, of one bike or of a whole day."""
    rows = Adjustment.objects.filter(state=RowState.UNPLACED)
    if bike is not None:
        rows = rows.filter(adjuster__bike=bike)
    if trackday is not None:
        rows = rows.filter(entry__trackday=trackday)
    return rows.select_related("adjuster", "by", "entry__group").order_by("accepted_at")


@dataclass(frozen=True)
class OpenOrder:
    """One order as it is done: both legs of a pair, or a preload with its rebound, in one."""

    rows: Sequence[Order]

    @property
    def first(self) -> Order:
        return self.rows[0]


def orders_open(entry: Entry, *, until: datetime | None = None) -> list[OpenOrder]:
    """What was ordered of an entry and no change has answered (by ``until``): one query."""
    done = Adjustment.objects.filter(order=OuterRef("pk")).exclude(state=RowState.WITHDRAWN)
    if until is not None:
        done = done.filter(Q(entry=entry) | Q(done_at__lt=until))
    rows = (
        Order.objects.filter(entry=entry, withdrawn_at=None)
        .filter(~Exists(done))
        .select_related("adjuster", "by")
    )
    acts: dict[object, list[Order]] = {}
    for row in rows:
        acts.setdefault(row.linked or row.pk, []).append(row)
    return [OpenOrder(act) for act in acts.values()]


def rows_of_entry(entry: Entry) -> list[Adjustment | Reading | Finding | BikePhoto]:
    """What of an entry could belong to another bike: five queries."""
    return [
        *Adjustment.objects.filter(entry=entry, withdrawn_at=None).select_related("adjuster"),
        *readings_of_entry(entry),
        *findings_of_entry(entry),
        *BikePhoto.objects.filter(entry=entry, withdrawn_at=None),
    ]


def findings_of_entry(entry: Entry) -> QuerySet[Finding]:
    return Finding.objects.filter(entry=entry, withdrawn_at=None).select_related("session", "by")


def readings_of_entry(entry: Entry) -> list[Reading]:
    """The readings of one day in order, each with its numbers: two queries."""
    newest = (
        Reading.objects.filter(entry=entry, withdrawn_at=None)
        .select_related("session", "gauge", "by", "entry__trackday__venue")
        .prefetch_related("measurements")
        .order_by("-accepted_at")[:MOST_READINGS]
    )
    return list(reversed(newest))


def travel_without_place(bike: Bike) -> list[Reading]:
    """Travel readings of a bike of which nobody said where they were taken, the newest first.

    Two queries at most.
    """
    rows = Reading.objects.filter(bike=bike, kind=TRAVEL.name, place="", withdrawn_at=None)
    ends = [end for end in TRAVEL.ends if TRAVEL.places_to_choose(end)]
    return list(rows.filter(end__in=ends).prefetch_related("measurements").order_by("-accepted_at"))


def last_readings(readings: list[Reading]) -> list[Reading]:
    """The newest of each kind and end, in the order of the list."""
    newest = {(reading.kind, reading.end, reading.tyre_state): reading for reading in readings}
    return [reading for reading in readings if reading in newest.values()]
