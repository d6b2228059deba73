"""Timed push tests of the book, before and after each change of rebound clicks.

Two tests about one change are a pair where they are of one entry and nothing else was changed
at that end between them. Several tests of one stop are taken together by their geometric mean.
"""

import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from decimal import Decimal
from operator import attrgetter
from statistics import fmean

from django.db.models import Exists, OuterRef, Q, QuerySet

from jobs.garage.enums import Firming, Function, OilState, Unit
from jobs.garage.models import Bike
from jobs.setups.enums import RowKind, RowState
from jobs.setups.models import Adjustment, Measurement
from jobs.setups.reading_kinds import PUSH_TEST
from jobs.tuning import Refused
from jobs.tuning.outlook import PushPair

Place = tuple[int, str]  # a bike and its end
# Of the bike's model, and as many again of all others. Common practice, no source: a pair more
# than some hundreds moves nothing.
MOST_PUSHES, MOST_CHANGES = 500, 1500


@dataclass(frozen=True)
class TimedPush:
    """One timed push test, or those of one stop together."""

    at: datetime
    entry: int | None
    session: int | None
    seconds: float
    oil: str


@dataclass(frozen=True)
class ClicksMoved:
    """One change at an end; ``clicks_firmer`` 0: something else than rebound clicks was moved."""

    at: datetime
    act: str
    adjuster: str = ""
    model: str = ""
    clicks_firmer: float = 0.0


@dataclass(frozen=True)
class AboutOneChange:
    """A change of rebound clicks, with the pushes before and after it where they were timed."""

    moved: ClicksMoved
    before: TimedPush | None
    after: TimedPush | None

    def pair(self) -> PushPair | None:
        """None: one of the two was not timed. Refused: the oil was not equally hot."""
        if self.before is None or self.after is None:
            return None
        return PushPair(
            adjuster=self.moved.adjuster,
            model=self.moved.model,
            clicks_firmer=self.moved.clicks_firmer,
            before_s=self.before.seconds,
            after_s=self.after.seconds,
            before_oil=self.before.oil,
            after_oil=self.after.oil,
        )


@dataclass
class PushBook:
    """Timed pushes and the changes of damping or springs about them, in the order of the book."""

    pushes: dict[Place, list[TimedPush]] = field(default_factory=lambda: defaultdict(list))
    moves: dict[Place, list[ClicksMoved]] = field(default_factory=lambda: defaultdict(list))

    def about(self, place: Place) -> Iterator[AboutOneChange]:
        """Every change of rebound clicks at a place."""
        moves, pushes = self.moves.get(place, []), self.pushes.get(place, [])
        for number, moved in enumerate(moves):
            if not moved.clicks_firmer:
                continue
            start = moves[number - 1].at if number else None
            end = moves[number + 1].at if number + 1 < len(moves) else None
            before = [p for p in pushes if p.at < moved.at and (start is None or p.at > start)]
            after = [p for p in pushes if p.at > moved.at and (end is None or p.at < end)]
            if before:
                after = [p for p in after if p.entry == before[-1].entry]
            yield AboutOneChange(moved, before[-1] if before else None, after[0] if after else None)

    def pairs(self, *, until: datetime | None = None) -> list[PushPair]:
        """Every pair with equally hot oil, of all bikes; those complete before ``until``."""
        found = []
        for place in list(self.moves):
            for one in self.about(place):
                if one.after is None or (until is not None and one.after.at >= until):
                    continue
                try:
                    pair = one.pair()
                except Refused:
                    continue
                if pair is not None:
                    found.append(pair)
        return found

    def last_push(self, place: Place, entry: int) -> TimedPush | None:
        """The newest of an entry, if nothing was changed at that end since."""
        moves = self.moves.get(place)
        since = moves[-1].at if moves else None
        pushes = [
            push
            for push in self.pushes.get(place, [])
            if push.entry == entry and (since is None or push.at > since)
        ]
        return _together(_stop_of(pushes[-1], pushes)) if pushes else None


def push_book(bike: Bike) -> PushBook:
    """What a bike's clicks are learned from: at most four queries, a bounded number of rows.

    The newest pushes of its model with the changes about them; of other models the newest at
    ends whose rebound was turned. Older ones are left out.
    """
    of_its_model = Q(reading__bike__make__iexact=bike.make, reading__bike__model__iexact=bike.model)
    book = PushBook()
    _read(book, Measurement.objects.filter(of_its_model))
    _read(book, Measurement.objects.exclude(of_its_model).filter(Exists(_rebound_turned())))
    return book


def _rebound_turned() -> QuerySet[Adjustment]:
    """Of the place of a push: the changes of its rebound clicks."""
    return Adjustment.objects.filter(
        adjuster__bike=OuterRef("reading__bike"), adjuster__end=OuterRef("reading__end"),
        adjuster__function=Function.REBOUND, adjuster__unit=Unit.CLICK,
        kind=RowKind.CHANGE, state=RowState.PLACED,
    )  # fmt: skip


def _read(book: PushBook, narrowed: QuerySet[Measurement]) -> None:
    """The newest pushes, and every change at their places since the first of them."""
    pushes = _pushes(narrowed)
    changes = _changes(pushes)
    since = changes[0].accepted_at if len(changes) == MOST_CHANGES else None
    for place, push in pushes:
        if since is None or push.at > since:
            book.pushes[place].append(push)
    _add_moves(book, {place for place, _push in pushes}, changes, since)


def adjuster_key(adjuster_id: int, pair: object) -> str:
    """One adjuster, or the pair of both legs."""
    return str(pair or adjuster_id)


def model_key(make: str, model: str, end: str) -> str:
    """Alike adjusters: those of one end of one model of bike."""
    return f"{make} {model} {end}".casefold()


def _pushes(narrowed: QuerySet[Measurement]) -> list[tuple[Place, TimedPush]]:
    """The newest timed pushes, oldest first."""
    rows = (
        narrowed.filter(
            name="seconds",
            canonical__gt=0,
            reading__kind=PUSH_TEST.name,
            reading__withdrawn_at=None,
        )
        .order_by("-reading__accepted_at")
        .values_list(
            "reading__bike", "reading__end", "reading__entry", "reading__session",
            "reading__accepted_at", "reading__oil_state", "canonical",
        )
    )[:MOST_PUSHES]  # fmt: skip
    return [
        ((bike, end), TimedPush(at, entry, session, float(seconds or 0), oil or OilState.COLD))
        for bike, end, entry, session, at, oil, seconds in reversed(rows)
    ]


def _together(pushes: Sequence[TimedPush]) -> TimedPush:
    """Pushes of one stop as one: their geometric mean, hot only if all were."""
    oil = next((one.oil for one in pushes if one.oil != OilState.HOT), OilState.HOT)
    seconds = math.exp(fmean(math.log(one.seconds) for one in pushes))
    return replace(pushes[-1], seconds=seconds, oil=oil)


def _stop_of(push: TimedPush, pushes: Iterable[TimedPush]) -> list[TimedPush]:
    """Those of the same entry and outing."""
    return [one for one in pushes if (one.entry, one.session) == (push.entry, push.session)]


def _changes(pushes: Sequence[tuple[Place, TimedPush]]) -> list[Adjustment]:
    """The newest changes at the bikes of these pushes since the first of them, oldest first."""
    if not pushes:
        return []
    rows = (
        Adjustment.objects.filter(
            kind=RowKind.CHANGE,
            state=RowState.PLACED,
            adjuster__bike__in={bike for (bike, _end), _push in pushes},
            accepted_at__gte=pushes[0][1].at,
        )
        .exclude(adjuster__function=Function.TYRE_PRESSURE)
        .select_related("adjuster__bike")
        .order_by("-accepted_at", "-seq")
    )
    return list(reversed(rows[:MOST_CHANGES]))


def _add_moves(
    book: PushBook,
    places: Collection[Place],
    changes: Sequence[Adjustment],
    since: datetime | None,
) -> None:
    """The changes of one act as one; ``since``: not those of the first act, which may be cut."""
    acts: dict[tuple[Place, str], list[Adjustment]] = {}
    for row in changes:
        place = row.adjuster.bike_id, row.adjuster.end
        if place in places and (since is None or row.accepted_at > since):
            acts.setdefault((place, str(row.linked or row.pk)), []).append(row)
    for (place, act), same in acts.items():
        book.moves[place].append(_moved(act, same))


def _moved(act: str, rows: list[Adjustment]) -> ClicksMoved:
    first = min(rows, key=attrgetter("accepted_at"))
    adjuster, at = first.adjuster, first.accepted_at
    moved = {
        clicks_firmer(row.adjuster.firming, row.from_position, row.to_position) for row in rows
    }
    other = any(
        (row.adjuster.function, row.adjuster.unit) != (Function.REBOUND, Unit.CLICK) for row in rows
    )
    clicks = moved.pop() if len(moved) == 1 and not other else 0.0
    bike = adjuster.bike
    return ClicksMoved(
        at, act, adjuster_key(adjuster.pk, adjuster.pair),
        model_key(bike.make, bike.model, adjuster.end), clicks,
    )  # fmt: skip


def clicks_firmer(firming: str, start: Decimal | None, end: Decimal) -> float:
    """How many clicks firmer; below zero: softer. 0 where nobody knows where it stood."""
    if start is None:
        return 0.0
    return float(end - start) * (1 if firming == Firming.UP else -1)
