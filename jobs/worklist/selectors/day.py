"""One read of a whole day: the same number of queries whatever the number of bikes."""

import uuid
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from operator import attrgetter
from typing import Any

from django.db.models import Count, Exists, OuterRef, Q, Subquery
from django.db.models.functions import Coalesce

from jobs.garage.enums import FittingKind, Function
from jobs.garage.models import Adjuster, Fitting
from jobs.setups.enums import RowState
from jobs.setups.models import Adjustment, Expectation, Judgement, Order
from jobs.trackday import clock
from jobs.trackday.models import BikeMove, Delay, Entry, GroupChange, Trackday
from jobs.trackday.selectors import by_group, entries_coming, trackday_times
from jobs.trackday.where import Whereabouts, sessions_of_entry, whereabouts

from ..bikes import BikeDay
from ..book_facts import BookFacts
from ..day import Day
from ..derive import ItemTiming, TaskInputs, entry_tasks
from ..models import ChecklistItem, Hold, TaskMark
from ..orders import order_tasks
from .book_rows import BookRows, book_rows_of_day
from .checklists import items_of_day
from .plans import moves_of, wishes_of


@dataclass(frozen=True)
class DayRows:
    """The rows of a day, by entry (or bike) id."""

    moves: dict[int, list[BikeMove]]
    group_changes: dict[int, list[GroupChange]]
    marks: dict[int, list[TaskMark]]
    holds: dict[int, list[Hold]]
    book: dict[int, BookRows]
    expected: dict[int, list[dict[str, Any]]]
    orders: dict[int, list[Order]]
    tyres: dict[int, list[dict[str, Any]]]
    asked: dict[int, list[ItemTiming]]


def day_read(
    trackday: Trackday,
    at: datetime | None = None,
    supposing: Sequence[Delay] = (),
    booking: Sequence[Entry] = (),
) -> Day:
    """The day at ``at`` (default now).

    ``supposing`` delays nobody has tapped, ``booking`` entries nobody has accepted: unsaved
    rows, with primary keys that no row has.
    """
    moment = at or clock.now(trackday)
    expected = trackday_times(trackday, moment, supposing=supposing)
    times = expected.sessions
    entries = [*_entries(trackday), *booking]
    rows = _rows(trackday, entries)
    wishes = wishes_of(trackday)
    close = trackday.closes_at or max((t.end for t in times if t.runs), default=moment)
    build = _Builder(rows, by_group(times), entries, close, moment, moves_of(wishes))
    bikes = [build.bike(entry) for entry in entries]
    return Day(
        trackday=trackday,
        at=moment,
        groups=list(trackday.groups.all()),
        expected=expected,
        bikes=sorted(bikes, key=_rolls),
        conditions=list(trackday.conditions.filter(withdrawn_at=None)),
        crew=list(trackday.crew.select_related("user")),
        wishes=wishes,
    )


def _entries(trackday: Trackday) -> Iterable[Entry]:
    earlier = Entry.objects.filter(
        bike=OuterRef("bike"), trackday__date__lt=trackday.date
    ).order_by()
    # Rows of a bike's adjusters that a clicker count has to reach.
    countable = (
        Adjuster.objects.filter(bike=OuterRef("bike"), usable=True)
        .exclude(function=Function.TYRE_PRESSURE)
        .order_by()
        .values("bike")
        .annotate(count=Count("pk"))
        .values("count")
    )
    return (
        entries_coming(trackday)
        .select_related("bike", "rider", "group", "package")
        .annotate(first_day=~Exists(earlier), countable=Coalesce(Subquery(countable), 0))
    )


def _rows(trackday: Trackday, entries: Sequence[Entry]) -> DayRows:
    of_day = {"entry__trackday": trackday}
    judged = Judgement.objects.filter(expectation=OuterRef("pk"), withdrawn_at=None)
    expected = Expectation.objects.filter(
        ~Exists(judged),
        adjustment__state=RowState.PLACED,
        entry__trackday=trackday,
        withdrawn_at=None,
    ).values("entry_id", "done_at")
    answered = Adjustment.objects.filter(order=OuterRef("pk")).exclude(state=RowState.WITHDRAWN)
    orders = Order.objects.filter(~Exists(answered), **of_day, withdrawn_at=None).select_related(
        "adjuster", "by"
    )
    start, end = clock.bounds(trackday)
    tyres = Fitting.objects.filter(
        kind=FittingKind.TYRE,
        bike__entries__trackday=trackday,
        fitted_at__gte=start,
        fitted_at__lt=end,
    ).values("bike_id", "fitted_at")
    holds = Hold.objects.filter(Q(**of_day) | Q(released_at=None, bike__entries__trackday=trackday))
    return DayRows(
        moves=_by(BikeMove.objects.filter(**of_day, withdrawn_at=None), "entry_id"),
        group_changes=_by(GroupChange.objects.filter(**of_day, withdrawn_at=None), "entry_id"),
        marks=_by(
            TaskMark.objects.filter(**of_day, withdrawn_at=None).select_related("by"), "entry_id"
        ),
        holds=_by(holds.select_related("raised_by", "photo__photo").distinct(), "bike_id"),
        book=book_rows_of_day(trackday),
        expected=_by(expected, "entry_id"),
        orders=_by(orders, "entry_id"),
        tyres=_by(tyres, "bike_id"),
        asked=_asked_by_package(items_of_day(trackday), entries),
    )


def _by(rows: Iterable[Any], name: str) -> dict[int, list[Any]]:
    found: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        found[row[name] if isinstance(row, dict) else getattr(row, name)].append(row)
    return found


def _asked_by_package(
    items: Iterable[ChecklistItem], entries: Iterable[Entry]
) -> dict[int, list[ItemTiming]]:
    """The items each booked package asks; a checklist without packages is for all."""
    packages = {entry.package_id for entry in entries}
    found: dict[int, list[ItemTiming]] = {package: [] for package in packages}
    for _pk, group in groupby(items, key=attrgetter("checklist_id")):
        of_one = [ItemTiming.of(item) for item in group]
        only = {package.pk for package in of_one[0].item.checklist.packages.all()}
        for package in packages if not only else packages & only:
            found[package].extend(of_one)
    return found


class _Builder:
    """Puts the rows of one entry together."""

    def __init__(
        self,
        rows: DayRows,
        groups: dict[int, list[clock.SessionTimes]],
        entries: Sequence[Entry],
        close: datetime,
        at: datetime,
        moved: Mapping[uuid.UUID, int],
    ) -> None:
        self.rows, self.groups, self.close, self.at = rows, groups, close, at
        self.moved = moved
        self.numbers = _count(entry.number for entry in entries if entry.number)
        self.looks = _count(_look(entry) for entry in entries)

    def bike(self, entry: Entry) -> BikeDay:
        rows = self.rows
        holds = rows.holds.get(entry.bike_id, [])
        where = whereabouts(
            sessions_of_entry(entry, rows.group_changes.get(entry.pk, []), self.groups),
            rows.moves.get(entry.pk, []),
            [(hold.raised_at, hold.released_at) for hold in holds],
            self.at,
        )
        facts = self._facts(entry, where)
        book = self._book(entry)
        return BikeDay(
            entry=entry,
            where=where,
            tasks=[
                *entry_tasks(facts, rows.asked[entry.package_id], self.close, self.at),
                *order_tasks(facts, rows.orders.get(entry.pk, []), self.close, self.at),
            ],
            holds=[hold for hold in holds if hold.released_at is None],
            not_read_back=book.not_read_back,
            to_judge_since=facts.to_judge_since,
            orders=len(rows.orders.get(entry.pk, [])),
            unplaced=book.unplaced,
            changed_last_time=_changed_last_time(facts.changed_at, where),
            first_day=facts.first_day,
            look_alike=self.looks[_look(entry)] > 1,
            shared_number=self.numbers.get(entry.number, 0) > 1,
            at=self.at,
        )

    def _book(self, entry: Entry) -> BookRows:
        return self.rows.book.get(entry.pk) or BookRows()

    def _facts(self, entry: Entry, where: Whereabouts) -> TaskInputs:
        rows, book = self.rows, self._book(entry)
        marks = rows.marks.get(entry.pk, [])
        by_task: dict[uuid.UUID, list[TaskMark]] = defaultdict(list)
        for mark in marks:
            by_task[mark.task_id].append(mark)
        return TaskInputs(
            entry=entry,
            where=where,
            changed_at=book.changed_at,
            wheel_touched_at=[mark.done_at for mark in marks if mark.wheel_touched]
            + [tyre["fitted_at"] for tyre in rows.tyres.get(entry.bike_id, [])],
            to_judge_since=[one["done_at"] for one in rows.expected.get(entry.pk, [])],
            first_day=getattr(entry, "first_day", False),
            advice_only=entry.package.advice_only,
            by_task=by_task,
            moved=self.moved,
            book=BookFacts(book.facts, getattr(entry, "countable", 0)),
        )


def _changed_last_time(changed_at: Sequence[datetime], where: Whereabouts) -> bool:
    """Whether a change was made in the turnaround before the last outing."""
    went = [outing for outing in where.outings if outing.went]
    if not went:
        return False
    start = went[-2].out_at if len(went) > 1 else None
    return any((start is None or start <= at) and at < went[-1].out_at for at in changed_at)


def _count(things: Iterable[Any]) -> dict[Any, int]:
    found: dict[Any, int] = defaultdict(int)
    for thing in things:
        found[thing] += 1
    return found


def _look(entry: Entry) -> tuple[str, str, str]:
    """What two bikes must share to be mistaken for one another."""
    bike = entry.bike
    return bike.make.lower(), bike.model.lower(), bike.colour.lower()


def _rolls(bike: BikeDay) -> tuple[datetime, str, str, int]:
    """Bikes stand in the order they roll; those with no outing ahead come last."""
    last = datetime.max.replace(tzinfo=bike.at.tzinfo)
    number = bike.entry.number.rjust(8, "0")
    return bike.where.roll or last, bike.entry.group.letter, number, bike.entry.pk
