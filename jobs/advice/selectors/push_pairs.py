"""Timed push tests of the book, before and after each change of rebound clicks.

Two tests about one change are a pair where they are of one entry and nothing else was changed
at that end between them. Several tests of one stop are taken together by their geometric mean.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from decimal import Decimal
from operator import attrgetter
from statistics import fmean

from jobs.garage.enums import Firming, Function, OilState, Unit
from jobs.setups.enums import RowKind, RowState
from jobs.setups.models import Adjustment, Measurement
from jobs.setups.reading_kinds import PUSH_TEST
from jobs.tuning import Refused
from jobs.tuning.outlook import PushPair

Place = tuple[int, str]  # a bike and its end


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
    """Every timed push and every change of damping or springs, in the order of the book."""

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


def push_book() -> PushBook:
    """The whole book: two queries, however much there is."""
    book = PushBook()
    _read_pushes(book)
    _read_moves(book)
    return book


def adjuster_key(adjuster_id: int, pair: object) -> str:
    """One adjuster, or the pair of both legs."""
    return str(pair or adjuster_id)


def model_key(make: str, model: str, end: str) -> str:
    """Alike adjusters: those of one end of one model of bike."""
    return f"{make} {model} {end}".casefold()


def _read_pushes(book: PushBook) -> None:
    rows = (
        Measurement.objects.filter(
            name="seconds",
            canonical__gt=0,
            reading__kind=PUSH_TEST.name,
            reading__withdrawn_at=None,
        )
        .order_by("reading__accepted_at")
        .values_list(
            "reading__bike", "reading__end", "reading__entry", "reading__session",
            "reading__accepted_at", "reading__oil_state", "canonical",
        )
    )  # fmt: skip
    for bike, end, entry, session, at, oil, seconds in rows:
        book.pushes[bike, end].append(
            TimedPush(at, entry, session, float(seconds or 0), oil or OilState.COLD)
        )


def _together(pushes: Sequence[TimedPush]) -> TimedPush:
    """Pushes of one stop as one: their geometric mean, hot only if all were."""
    oil = next((one.oil for one in pushes if one.oil != OilState.HOT), OilState.HOT)
    seconds = math.exp(fmean(math.log(one.seconds) for one in pushes))
    return replace(pushes[-1], seconds=seconds, oil=oil)


def _stop_of(push: TimedPush, pushes: Iterable[TimedPush]) -> list[TimedPush]:
    """Those of the same entry and outing."""
    return [one for one in pushes if (one.entry, one.session) == (push.entry, push.session)]


def _read_moves(book: PushBook) -> None:
    rows = (
        Adjustment.objects.filter(kind=RowKind.CHANGE, state=RowState.PLACED)
        .exclude(adjuster__function=Function.TYRE_PRESSURE)
        .select_related("adjuster__bike")
        .order_by("accepted_at", "seq")
    )
    acts: dict[tuple[Place, str], list[Adjustment]] = {}
    for row in rows:
        place = row.adjuster.bike_id, row.adjuster.end
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
