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

from jobs.trackday.enums import Place
from jobs.trackday.models import Entry
from jobs.trackday.where import Whereabouts

from .enums import Anchor, Cadence, Mark, OnlyIf, TaskState
from .models import ChecklistItem, TaskMark
from .occasions import Occasion, Occasions

NAMESPACE = uuid.UUID("6f0b3c1e-52a7-5d0c-9f6e-2f8a3d1c7b44")
A_DAY = timedelta(days=1)
# Where in a window's anchors (arrival, stop, roll, close) each stands.
ANCHORS = {anchor.value: index for index, anchor in enumerate(Anchor)}
OVER = frozenset({TaskState.DONE, TaskState.SKIPPED, TaskState.MISSED})
IN_HAND = frozenset({TaskState.OPEN, TaskState.STARTED})


@lru_cache(maxsize=32768)
def task_id(entry_id: int, session_id: int | None, checklist: str, code: str) -> uuid.UUID:
    """The id of a task: the same on every device, at every time, after every delay."""
    return uuid.uuid5(NAMESPACE, f"{entry_id}/{session_id or ''}/{checklist}/{code}")


class Task(NamedTuple):
    """One piece of work on one entry inside a window (UTC).

    ``waits_for`` names what comes first. ``marks`` are those not withdrawn, in the order
    accepted.
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

    @property
    def is_open(self) -> bool:
        return self.state in IN_HAND

    @property
    def latest_start(self) -> datetime:
        """The last moment to begin so that the window holds."""
        if self.item.must_start:
            return self.closes
        return self.closes - timedelta(minutes=self.item.minutes)

    @property
    def started(self) -> TaskMark | None:
        """Whose hands are on it now, and since when."""
        if self.state != TaskState.STARTED:
            return None
        return next(m for m in reversed(self.marks) if m.mark == Mark.STARTED)

    @property
    def started_by(self) -> int | None:
        """The id of whoever is on it."""
        return self.started.by_id if self.started else None

    def slack_minutes(self, at: datetime) -> float:
        """Minutes until it is too late to begin; negative when it is."""
        return (self.latest_start - at).total_seconds() / 60


@dataclass(frozen=True)
class Facts:
    """What one entry's tasks depend on, beside the clock."""

    entry: Entry
    where: Whereabouts
    changed_at: Sequence[datetime] = ()
    wheel_touched_at: Sequence[datetime] = ()
    to_judge_since: Sequence[datetime] = ()
    first_day: bool = False
    advice_only: bool = False
    by_task: dict[uuid.UUID, list[TaskMark]] = field(default_factory=dict)
    moved: Mapping[uuid.UUID, int] = field(default_factory=dict)  # after which session instead


def _any_between(moments: Iterable[datetime], start: datetime | None, end: datetime | None) -> bool:
    return any((start is None or start <= m) and (end is None or m < end) for m in moments)


class Asked(NamedTuple):
    """A checklist item with its times worked out once for a whole day."""

    item: ChecklistItem
    checklist: str
    code: str
    opens_from: int  # index of the anchor, see ANCHORS
    opens_after: timedelta
    closes_from: int
    closes_after: timedelta
    stays_open: bool  # a safety check nobody made stays open until somebody makes it
    rule: "Rule | None"

    @classmethod
    def of(cls, item: ChecklistItem) -> "Asked":
        return cls(
            item=item,
            checklist=item.checklist.code,
            code=item.code,
            opens_from=ANCHORS[item.opens_from],
            opens_after=timedelta(minutes=item.opens_minutes),
            closes_from=ANCHORS[item.closes_from],
            closes_after=timedelta(minutes=item.closes_minutes),
            stays_open=item.safety and item.cadence == Cadence.ONCE,
            rule=RULES[item.only_if] if item.only_if else None,
        )


def entry_tasks(facts: Facts, asked: Sequence[Asked], close: datetime, at: datetime) -> list[Task]:
    """Every task of one entry for the whole day, in checklist order.

    ``close`` is when the day ends for work on bikes; ``at`` is now.
    """
    deriving = _Deriving(facts, close, at)
    occasions = Occasions(facts.where, facts.entry.package.follow_ups)
    for one in asked:
        item = one.item
        if item.for_advice or not facts.advice_only:
            for occasion in occasions.of(item.cadence, item.before_session):
                deriving.task(one, occasion, occasions)
    return deriving.found


class _Deriving:
    """The tasks of one entry as they are found, and what is the same for all of them."""

    def __init__(self, facts: Facts, close: datetime, at: datetime) -> None:
        where = facts.where
        self.facts, self.close, self.at = facts, close, at
        self.entry, self.entry_id, self.by_task = facts.entry, facts.entry.pk, facts.by_task
        self.moved = facts.moved
        self.gone_home = where.place == Place.GONE_HOME
        self.arrival = where.arrived_at or close - A_DAY
        self.before = TaskState.LATER
        self.inside = TaskState.OPEN if where.in_paddock else TaskState.LATER
        self.after = TaskState.MISSED if where.arrived_at is not None else TaskState.LATER
        self.found: list[Task] = []
        self.states: dict[tuple[str, int | None], TaskState] = {}

    def task(self, asked: Asked, occasion: Occasion, occasions: Occasions) -> None:
        """The task of an item on one occasion, if it is asked for, or was done all the same."""
        item = asked.item
        own_id = task_id(self.entry_id, occasion.session_id, asked.checklist, asked.code)
        marks = self.by_task.get(own_id, ())
        if not marks and (
            self.gone_home or not (asked.rule is None or asked.rule(self.facts, occasion))
        ):
            return
        session_id = occasion.session_id
        if own_id in self.moved:
            occasion = occasions.after(self.moved[own_id]) or occasion
        opens, closes = self._window(asked, occasion)
        state = self._state(asked, marks, opens, closes)
        waits_for = self._waits_for(item, occasion.turnaround) if item.after else ()
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
            )
        )

    def _window(self, asked: Asked, occasion: Occasion) -> tuple[datetime, datetime]:
        """When a task opens and closes; never before the bike is there to be worked on."""
        arrival, close = self.arrival, self.close
        stop = occasion.stop or arrival
        anchors = (arrival, stop, occasion.roll or close, close)
        opens = anchors[asked.opens_from] + asked.opens_after
        return max(opens, arrival, stop), anchors[asked.closes_from] + asked.closes_after

    def _state(
        self, asked: Asked, marks: Sequence[TaskMark], opens: datetime, closes: datetime
    ) -> TaskState:
        if marks and (marked := _marked(marks, self.facts.where.in_paddock)):
            return marked
        if self.at < opens:
            return self.before
        if self.at >= closes and not asked.stays_open:
            return self.after
        return self.inside

    def _waits_for(self, item: ChecklistItem, turnaround: int | None) -> tuple[str, ...]:
        """What comes first in the same turnaround, or once, and is not over yet."""
        waits = []
        for code in item.after:
            state = self.states.get((code, turnaround)) or self.states.get((code, None))
            if state is not None and state not in OVER:
                waits.append(code)
        return tuple(waits)


def _marked(marks: Sequence[TaskMark], in_paddock: bool) -> TaskState | None:
    """What people's marks make of a task; None: they leave it to the clock."""
    if any(mark.mark == Mark.DONE for mark in marks):
        return TaskState.DONE
    if marks[-1].mark == Mark.SKIPPED:
        return TaskState.SKIPPED
    if marks[-1].mark == Mark.STARTED and in_paddock:
        return TaskState.STARTED
    return None


# The rule of each ``only_if``: whether an item is asked for on an occasion.
Rule = Callable[[Facts, Occasion], bool]
RULES: dict[str, Rule] = {
    OnlyIf.CHANGED: lambda facts, o: _any_between(facts.changed_at, o.previous, o.before),
    OnlyIf.WHEEL_TOUCHED: lambda facts, o: _any_between(
        facts.wheel_touched_at, o.previous, o.before
    ),
    OnlyIf.TO_JUDGE: lambda facts, o: _any_between(facts.to_judge_since, None, o.before),
    OnlyIf.NEW_CUSTOMER: lambda facts, o: facts.first_day,
    OnlyIf.ON_TIME: lambda facts, o: not facts.entry.late,
}
