"""The header of the bike's screens: which bike it is, and how long until its next session."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q
from django.shortcuts import get_object_or_404

from jobs.garage.enums import FittingKind, OilState, TyreState
from jobs.garage.models import Fitting
from jobs.setups.models import BikePhoto
from jobs.setups.selectors import FittedPart, identity_photo_of_bike, parts_of_bike
from jobs.setups.stops import Stop, last_stop, oil_state
from jobs.trackday import clock
from jobs.trackday.models import Entry
from jobs.trackday.selectors import entries_at_work, entry_whereabouts
from jobs.worklist.selectors import arrival_checks_unmade, holds_of_bike


@dataclass(frozen=True)
class BikeHeader:
    """The entry with what is known of it now."""

    entry: Entry
    now: datetime
    stop: Stop | None
    roll: clock.SessionTimes | None
    alike: Sequence[Entry]
    tyres: Sequence[Fitting]
    face: BikePhoto | None = None
    due: Sequence[Fitting] = ()
    rolled_unchecked: bool = False  # it has been out without its arrival check
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
    def tyre_state(self) -> TyreState:
        """What its tyres are by the stop; on warmers only a person can say."""
        return TyreState.COLD if self.oil == OilState.COLD else TyreState.TRACK

    @property
    def oil_word(self) -> str:
        return str(oil_state(self.minutes_since_stop).label)


def entry_get(entry_id: int) -> Entry:
    return get_object_or_404(entries_at_work(), pk=entry_id)


def bike_header_of(entry: Entry) -> BikeHeader:
    """Thirteen queries; eight where no part is written down; one more once it has been out."""
    now = clock.now(entry.trackday)
    holds = holds_of_bike(entry.bike_id)
    where = entry_whereabouts(entry, now, holds)
    parts = parts_of_bike(entry.bike, now, holds)
    on = [part for part in parts if part.fitting.removed_at is None]
    return BikeHeader(
        entry=entry,
        now=now,
        stop=last_stop(where, now),
        roll=where.coming.times if where.coming else None,
        alike=look_alikes(entry),
        parts=parts,
        tyres=[part.fitting for part in on if part.fitting.kind == FittingKind.TYRE],
        due=[part.fitting for part in on if part.service_due],
        face=identity_photo_of_bike(entry.bike),
        rolled_unchecked=where.last is not None and arrival_checks_unmade(entry),
    )


def look_alikes(entry: Entry) -> list[Entry]:
    """Bikes of the day with the same number, or of the same make, model and colour."""
    bike = entry.bike
    same_looks = Q(
        bike__make__iexact=bike.make, bike__model__iexact=bike.model,
        bike__colour__iexact=bike.colour,
    )  # fmt: skip
    same_number = Q(number=entry.number) if entry.number else Q(pk__in=[])
    return list(
        Entry.objects.filter(same_looks | same_number, trackday=entry.trackday_id, absence="")
        .exclude(pk=entry.pk)
        .select_related("bike", "group", "rider")
    )
