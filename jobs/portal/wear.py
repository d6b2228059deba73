"""How long a tyre lasts and what a session on it costs, or why that cannot be said yet."""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from jobs.garage.enums import End, FittingKind
from jobs.garage.models import Bike, Fitting
from jobs.setups.models import Reading
from jobs.setups.reading_kinds import WEAR
from jobs.trackday.selectors import outings_of_bike
from jobs.tuning.refusal import Refused
from jobs.tuning.wear import Depth, FittedLine, Interval, cost_per_session, sessions_left, wear_line
from jobs.worklist.selectors import holds_of_bike

PLACES = {one.name: one.words for one in WEAR.numbers}
# What is left in the groove when a tyre counts as done here. The law of the road and the
# circuit's rules differ, and come first.
LIMIT_MM = 1.0


@dataclass(frozen=True)
class TyreWear:
    """One tyre at the place that wears most; ``why_not`` where nothing can be said."""

    end: str
    tyre: str
    place: str
    depth_mm: float
    left: Interval | None = None
    cost: Interval | None = None
    why_not: str = ""

    @property
    def cost_minor(self) -> int | None:
        return round(self.cost.value) if self.cost else None


def wear_of_bike(bike: Bike, *, since: datetime | None = None) -> list[TyreWear]:
    """Every tyre that is on the bike and whose depth was read: ten queries, one with no depth.

    What a tyre fitted before ``since`` cost was another owner's to pay, and stays theirs.
    """
    readings = list(
        Reading.objects.filter(bike=bike, kind=WEAR.name, withdrawn_at=None)
        .prefetch_related("measurements")
        .order_by("done_at", "accepted_at")
    )
    if not readings:
        return []
    tyres = {
        tyre.end: tyre
        for tyre in Fitting.objects.filter(bike=bike, kind=FittingKind.TYRE, removed_at=None)
    }
    stops = _stops(bike, readings[-1].done_at)
    if since is not None:
        for tyre in tyres.values():
            tyre.price_minor = tyre.price_minor if tyre.fitted_at >= since else None
    return [
        worn
        for end in End
        if (worn := _worn(end, tyres.get(end), _depths(readings, end, tyres.get(end), stops)))
    ]


def _stops(bike: Bike, at: datetime) -> list[datetime]:
    """When the bike stood again after each outing it truly went on, measured or not."""
    holds = holds_of_bike(bike.pk)
    return sorted(outing.stop for outing in outings_of_bike(bike.pk, at=at, holds=holds))


def _depths(
    readings: Iterable[Reading], end: str, tyre: Fitting | None, stops: Sequence[datetime]
) -> dict[str, list[Depth]]:
    found: dict[str, list[Depth]] = defaultdict(list)
    for reading in readings:
        if reading.end != end or (tyre and reading.done_at < tyre.fitted_at):
            continue
        at = bisect_right(stops, reading.done_at)  # outings behind it
        for place in WEAR.numbers:
            for mm in reading.canonical(place.name):
                found[place.name].append(Depth(at=at, mm=float(mm), place=place.name))
    return found


def _worn(end: End, tyre: Fitting | None, places: dict[str, list[Depth]]) -> TyreWear | None:
    if not places:
        return None
    place, depths = min(places.items(), key=lambda item: item[1][-1].mm)
    worn = TyreWear(str(end.label), tyre.name if tyre else "", str(PLACES[place]), depths[-1].mm)
    try:
        line = wear_line(depths=depths)
        left = sessions_left(line=line, limit_mm=LIMIT_MM, last_index=depths[-1].at)
        return replace(worn, left=left, cost=_cost(line, tyre))
    except Refused as why:
        return replace(worn, why_not=why.words)


def _cost(line: FittedLine, tyre: Fitting | None) -> Interval | None:
    """What a session takes off the tyre's price, where its price and new depth are known."""
    if tyre is None or not tyre.price_minor or not tyre.new_depth_mm:
        return None
    return cost_per_session(
        price_minor=tyre.price_minor,
        line=line,
        new_depth_mm=float(tyre.new_depth_mm),
        limit_mm=LIMIT_MM,
    )
