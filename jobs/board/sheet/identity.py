"""Which bike this is, and how long until it rolls: the head of every screen that writes."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q
from django.shortcuts import get_object_or_404

from jobs.garage.enums import FittingKind
from jobs.garage.models import Fitting
from jobs.setups.models import BikePhoto
from jobs.setups.selectors import FittedPart, face_of_bike, parts_of_bike
from jobs.setups.stops import Stop, last_stop, oil_state
from jobs.trackday import clock
from jobs.trackday.models import Entry
from jobs.trackday.selectors import entry_whereabouts
from jobs.trackday.where import Held
from jobs.worklist.models import Hold


@dataclass(frozen=True)
class Head:
    """The entry with what is known of it now."""

    entry: Entry
    now: datetime
    stop: Stop | None
    roll: clock.SessionTimes | None
    alike: Sequence[Entry]
    tyres: Sequence[Fitting]
    face: BikePhoto | None = None
    due: Sequence[Fitting] = ()
    parts: Sequence[FittedPart] = ()

    @property
    def minutes_since_stop(self) -> float | None:
        return self.stop.minutes(self.now) if self.stop else None

    @property
    def whole_minutes_since_stop(self) -> int | None:
        minutes = self.minutes_since_stop
        return None if minutes is None else int(minutes)

    @property
    def is_out(self) -> bool:
        return self.stop is not None and self.stop.at is None

    @property
    def oil(self) -> str:
        return oil_state(self.minutes_since_stop)

    @property
    def oil_word(self) -> str:
        return str(oil_state(self.minutes_since_stop).label)


def entry_get(entry_id: int) -> Entry:
    return get_object_or_404(
        Entry.objects.select_related("trackday__venue", "group", "bike__owner", "rider", "package"),
        pk=entry_id,
    )


def head_of(entry: Entry) -> Head:
    """Thirteen queries; eight where no part is written down."""
    now = clock.now(entry.trackday)
    holds = holds_of(entry)
    where = entry_whereabouts(entry, now, holds)
    parts = parts_of_bike(entry.bike, now, holds)
    on = [part for part in parts if part.fitting.removed_at is None]
    return Head(
        entry=entry,
        now=now,
        stop=last_stop(where, now),
        roll=where.coming.times if where.coming else None,
        alike=look_alikes(entry),
        parts=parts,
        tyres=[part.fitting for part in on if part.fitting.kind == FittingKind.TYRE],
        due=[part.fitting for part in on if part.service_due],
        face=face_of_bike(entry.bike),
    )


def holds_of(entry: Entry) -> list[Held]:
    """From when to when its bike was held."""
    return list(Hold.objects.filter(bike=entry.bike_id).values_list("raised_at", "released_at"))


def stop_of(entry: Entry, now: datetime) -> Stop | None:
    """The last outing of a bike and when it stood again after it: five queries."""
    return last_stop(entry_whereabouts(entry, now, holds_of(entry)), now)


def look_alikes(entry: Entry) -> list[Entry]:
    """Bikes of the day with the same number, or of the same make, model and colour."""
    bike = entry.bike
    same_looks = Q(
        bike__make__iexact=bike.make, bike__model__iexact=bike.model,
        bike__colour__iexact=bike.colour,
    )  # fmt: skip
    same_number = Q(number=entry.number) if entry.number else Q(pk__in=[])
    return list(
        Entry.objects.filter(same_looks | same_number, trackday=entry.trackday_id)
        .exclude(pk=entry.pk)
        .select_related("bike", "group", "rider")
    )
