"""Parts of a bike, each with the number of outings since it was fitted."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from jobs.garage.models import Bike, Fitting
from jobs.trackday.selectors import outings_of_bike
from jobs.trackday.where import Held


@dataclass(frozen=True)
class FittedPart:
    """One part and its number of outings; a tyre has one heat cycle an outing."""

    fitting: Fitting
    outings: int

    @property
    def service_due(self) -> bool:
        due = self.fitting.due_after_outings
        return due is not None and self.outings >= due


def parts_of_bike(bike: Bike, now: datetime, holds: Sequence[Held] = ()) -> list[FittedPart]:
    """Everything fitted or once fitted, the newest first: six queries, one where nothing is.

    Only outings the bike truly went on count. ``holds`` come from the room that keeps them:
    a held bike does not go out by itself.
    """
    fittings = list(Fitting.objects.filter(bike=bike))
    if not fittings:
        return []
    oldest = min(fitting.fitted_at for fitting in fittings)
    outings = outings_of_bike(bike.pk, at=now, since=oldest, holds=holds)
    starts = [outing.out_at for outing in outings if outing.stop <= now]
    return [FittedPart(fitting, _outings(fitting, starts)) for fitting in fittings]


def _outings(fitting: Fitting, starts: Sequence[datetime]) -> int:
    off = fitting.removed_at
    return sum(1 for s in starts if s >= fitting.fitted_at and (off is None or s < off))
