"""Tasks, derived: what is asked of a bike, in which window, and where it stands.

A task is one checklist item on one entry, before or after one session or once a day. Its
id is made of these three and survives every delay; its window follows the clock. Pure:
rows in, frozen dataclasses out.
"""

import uuid
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import lru_cache
from typing import NamedTuple

from jobs.trackday.enums import BikePlace
from jobs.trackday.models import Entry
from jobs.trackday.where import Whereabouts

from .book_facts import BookFact, BookFacts
from .enums import Anchor, Cadence, Mark, OnlyIf, TaskState
from .models import ChecklistItem, TaskMark
from .occasions import Occasion, Occasions

NAMESPACE = uuid.UUID("6f0b3c1e-52a7-5d0c-9f6e-2f8a3d1c7b44")
A_DAY = timedelta(days=1)
# Where in a window's anchors (arrival, stop, roll, close) each stands.
ANCHORS = {anchor.value: index for index, anchor in enumerate(Anchor)}
OVER = frozenset({TaskState.DONE, TaskState.SKIPPED, TaskState.MISSED})
BEHIND_ARRIVAL_CHECKS = frozenset({Cadence.ONCE, Cadence.BEFORE})
IN_HAND = frozenset({TaskState.OPEN, TaskState.STARTED})


@lru_cache(maxsize=32768)
def task_id(entry_id: int, session_id: int | None, checklist: str, code: str) -> uuid.UUID:
    """The id of a task: the same on every device, at every time, after every delay."""
    return uuid.uuid5(NAMESPACE, f"{entry_id}/{session_id or ''}/{checklist}/{code}")


class Task(NamedTuple):
    """One piece of work on one entry inside a window (UTC).

    ``waits_for`` names what comes first. ``marks`` are those not withdrawn, in the order
    accepted. ``read``: what the setup book holds of it, entered anywhere; the whole of it does
    the task as a mark does.
    """

    id: uuid.UUID
    entry: Entry
    session_id: int | None
    item: ChecklistItem
    opens: datetime
    closes: datetime
    state: TaskState
    marks: tuple[TaskMark, ...] = ()
    waits_for: tuple[str, ...] = ()
    read: tuple[BookFact, ...] = ()

    @property
    def is_open(self) -> bool:
        return self.state in IN_HAND

    @property
    def done_by_book(self) -> bool:
        """Nobody ticked it: what the setup book holds did it."""
        return self.state == TaskState.DONE and not any(m.mark == Mark.DONE for m in self.marks)

    @property
    def latest_start(self) -> datetime:
        """The last moment to begin so that the window holds."""
        if self.item.must_start:
            return self.closes
        return self.closes - self.duration

    @property
    def duration(self) -> timedelta:
        return timedelta(minutes=self.item.planned_minutes)

    @property
    def started(self) -> TaskMark | None:
        """The mark of whoever works on it now; None: nobody does."""
        if self.state != TaskState.STARTED:
            return None
        return next(m for m in reversed(self.marks) if m.mark == Mark.STARTED)

    @property
    def started_by(self) -> int | None:
        """The id of the user who works on it now."""
        return self.started.by_id if self.started else None

    def slack_minutes(self, at: datetime) -> float:
        """Minutes until it is too late to begin; negative when it is."""
        return (self.latest_start - at).total_seconds() / 60


@dataclass(frozen=True)
class TaskInputs:
    """What the tasks of one entry are derived from, beside the time."""

    entry: Entry
    where: Whereabouts
    changed_at: Sequence[datetime] = ()
    wheel_touched_at: Sequence[datetime] = ()
    to_judge_since: Sequence[datetime] = ()
    first_day: bool = False
    advice_only: bool = False
    by_task: dict[uuid.UUID, list[TaskMark]] = field(default_factory=dict)
    moved: Mapping[uuid.UUID, int] = field(default_factory=dict)  # after which session instead
    book: BookFacts = field(default_factory=BookFacts)


def _any_between(moments: Iterable[datetime], start: datetime | None, end: datetime | None) -> bool:
    return any((start is None or start <= m) and (end is None or m < end) for m in moments)


class ItemTiming(NamedTuple):
    """A checklist item with its times worked out once for a whole day."""

    item: ChecklistItem
    checklist: str
    code: str
    opens_from: int  # index of the anchor, see ANCHORS
    opens_after: timedelta
    closes_from: int
    closes_after: timedelta
    arrival_check: bool  # comes before all else, and stays open until somebody makes it
    rule: "Rule | None"

    @classmethod
    def of(cls, item: ChecklistItem) -> "ItemTiming":
        return cls(
            item=item,
            checklist=item.checklist.code,
            code=item.code,
            opens_from=ANCHORS[item.opens_from],
            opens_after=timedelta(minutes=item.opens_minutes),
            closes_from=ANCHORS[item.closes_from],
            closes_after=timedelta(minutes=item.closes_minutes),
            arrival_check=item.arrival_check,
            rule=RULES[item.only_if] if item.only_if else None,
        )


def entry_tasks(
    facts: TaskInputs, asked: Sequence[ItemTiming], close: datetime, at: datetime
) -> list[Task]:
    """Every task of one entry for the whole day, in checklist order.

    ``close`` is when the day ends for work on bikes; ``at`` is now.
    """
    deriving = _EntryTasks(facts, close, at)
    occasions = Occasions(facts.where, facts.entry.package.follow_ups)
    wanted = [one for one in asked if one.item.for_advice or not facts.advice_only]
    deriving.find_unmade_checks([one for one in wanted if one.arrival_check], occasions)
    for one in wanted:
        for occasion in occasions.of(one.item.cadence, one.item.before_session):
            deriving.task(one, occasion, occasions)
    return deriving.found


class _EntryTasks:
    """The tasks of one entry as they are found, and what is the same for all of them."""

    def __init__(self, facts: TaskInputs, close: datetime, at: datetime) -> None:
        where = facts.where
        self.facts, self.close, self.at = facts, close, at
        self.entry, self.entry_id, self.by_task = facts.entry, facts.entry.pk, facts.by_task
        self.moved = facts.moved
        self.gone_home = where.place == BikePlace.GONE_HOME
        self.arrival = where.arrived_at or close - A_DAY
        self.before = TaskState.LATER
        self.inside = TaskState.OPEN if where.in_paddock else TaskState.LATER
        self.after = TaskState.MISSED if where.arrived_at is not None else TaskState.LATER
        self.found: list[Task] = []
        self.states: dict[tuple[str, int | None], TaskState] = {}
        self.unmade_checks: list[str] = []

    def find_unmade_checks(self, asked: Sequence[ItemTiming], occasions: Occasions) -> None:
        """The codes of the arrival checks that nobody has made or skipped yet."""
        for one in asked:
            for occasion in occasions.of(one.item.cadence, one.item.before_session):
                own_id = task_id(self.entry_id, occasion.session_id, one.checklist, one.code)
                marks = self.by_task.get(own_id, ())
                if self._is_asked(one, marks, occasion):
                    opens, closes = self._window(one, occasion)
                    if self._state(one, marks, opens, closes) not in OVER:
                        self.unmade_checks.append(one.code)

    def _is_asked(self, asked: ItemTiming, marks: Sequence[TaskMark], occasion: Occasion) -> bool:
        """Whether an item is asked for on an occasion, or was done all the same."""
        if marks:
            return True
        return not self.gone_home and self._is_wanted(asked, occasion)

    def _is_wanted(self, asked: ItemTiming, occasion: Occasion) -> bool:
        return asked.rule is None or asked.rule(self.facts, occasion)

    def task(self, asked: ItemTiming, occasion: Occasion, occasions: Occasions) -> None:
        """The task of an item on one occasion, if it is asked for, or was done all the same."""
        item = asked.item
        own_id = task_id(self.entry_id, occasion.session_id, asked.checklist, asked.code)
        marks = self.by_task.get(own_id, ())
        is_asked = self._is_asked(asked, marks, occasion)
        if not (is_asked or (self.gone_home and self._is_wanted(asked, occasion))):
            return
        session_id = occasion.session_id
        if own_id in self.moved:
            occasion = occasions.after(self.moved[own_id]) or occasion
        opens, closes = self._window(asked, occasion)
        read = self.facts.book.fitting(item, occasion, opens, closes)
        state = self._state(asked, marks, opens, closes)
        done_by_book = bool(read) and self.facts.book.complete(item, read)
        if not (is_asked or done_by_book):
            return
        if done_by_book:
            state = TaskState.DONE
        waits_for = self._waits_for(item, occasion.turnaround)
        self.states[asked.code, occasion.turnaround] = state
        self.found.append(
            Task(
                own_id,
                self.entry,
                session_id,
                item,
                opens,
                closes,
                state,
                tuple(marks),
                waits_for,
                read,
            )
        )

    def _window(self, asked: ItemTiming, occasion: Occasion) -> tuple[datetime, datetime]:
        """When a task opens and closes; it never opens before the bike stands in the paddock."""
        arrival, close = self.arrival, self.close
        stop = occasion.stop or arrival
        anchors = (arrival, stop, occasion.roll or close, close)
        opens = anchors[asked.opens_from] + asked.opens_after
        return max(opens, arrival, stop), anchors[asked.closes_from] + asked.closes_after

    def _state(
        self, asked: ItemTiming, marks: Sequence[TaskMark], opens: datetime, closes: datetime
    ) -> TaskState:
        if marks and (marked := _marked(marks, self.facts.where.in_paddock)):
            return marked
        if self.at < opens:
            return self.before
        if self.at >= closes and not asked.arrival_check:
            return self.after
        return self.inside

    def _waits_for(self, item: ChecklistItem, turnaround: int | None) -> tuple[str, ...]:
        """Codes of items that come first, in the same turnaround or once, and are not over.

        An arrival check waits at most for another; all other work on arrival, and each check
        before a roll, waits for the arrival checks.
        """
        waits: list[str] = []
        if item.arrival_check:
            return tuple(code for code in item.after if code in self.unmade_checks)
        if item.cadence in BEHIND_ARRIVAL_CHECKS:
            waits += self.unmade_checks
        for code in item.after:
            if code in waits:
                continue
            state = self.states.get((code, turnaround)) or self.states.get((code, None))
            if state is not None and state not in OVER:
                waits.append(code)
        return tuple(waits)


def _marked(marks: Sequence[TaskMark], in_paddock: bool) -> TaskState | None:
    """The state that the marks on a task give it; None: its window decides."""
    if any(mark.mark == Mark.DONE for mark in marks):
        return TaskState.DONE
    if marks[-1].mark == Mark.SKIPPED:
        return TaskState.SKIPPED
    if marks[-1].mark == Mark.STARTED and in_paddock:
        return TaskState.STARTED
    return None


# The rule of each ``only_if``: whether an item is asked for on an occasion.
Rule = Callable[[TaskInputs, Occasion], bool]
RULES: dict[str, Rule] = {
    OnlyIf.CHANGED: lambda facts, o: _any_between(facts.changed_at, o.previous, o.before),
    OnlyIf.WHEEL_TOUCHED: lambda facts, o: _any_between(
        facts.wheel_touched_at, o.previous, o.before
    ),
    OnlyIf.TO_JUDGE: lambda facts, o: _any_between(facts.to_judge_since, None, o.before),
    OnlyIf.NEW_CUSTOMER: lambda facts, o: facts.first_day,
    OnlyIf.ON_TIME: lambda facts, o: not (facts.entry.late or facts.where.came_late),
}
