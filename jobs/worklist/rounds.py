"""Who does what next: the day as read -> each person's tasks in order, with reasons.

This is the one place the screens ask. Where there is a plan, it says who takes what and
in which order, and what it leaves out is spare. Without one the answer is weighted slack
over the open tasks, dealt to whoever is free first and has the skill.
"""

import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.translation import gettext as _

from jobs.people.models import User

from .bikes import BikeDay
from .day import Day
from .derive import OVER, Task
from .enums import BikeState, Cadence, Skill, TaskState
from .planned.stored import Slots
from .slack import priority, reason

Dealt = dict[uuid.UUID, tuple[int, ...]]

AHEAD = timedelta(minutes=30)
MOST_FIRST = 3
# Minutes of helpers' work that wait before a tuner is sent to do it.
TUNER_SPARED = 10


@dataclass(frozen=True)
class Step:
    """One task in somebody's round; ``mine`` once he has started it."""

    task: Task
    bike: BikeDay
    at: datetime
    mine: bool = False

    @property
    def why(self) -> str:
        """Why it stands where it does, in one line."""
        return reason(self.task, self.bike, self.at)


@dataclass(frozen=True)
class First:
    """One bike to see first: for what, why, and until when."""

    bike: BikeDay
    what: str
    why: str
    until: datetime | None
    held: str


@dataclass(frozen=True)
class Round:
    """One person's work in order: ``now`` is his, ``spare`` what he could help with."""

    person: User
    now: list[Step]
    spare: list[Step]
    soon: list[Step]
    lunch_until: datetime | None = None

    @property
    def next(self) -> Step | None:
        return self.now[0] if self.now else None

    @property
    def on_it(self) -> list[Step]:
        """What the person has started and not ended."""
        return [step for step in self.now if step.mine]

    @property
    def first(self) -> list[Step]:
        return self.now[:1]


def rounds(
    day: Day, ranked: Sequence[Step] | None = None, slots: Slots | None = None
) -> list[Round]:
    """The rounds of everybody who is here, in the order of the crew list."""
    ranked, soon = ranked or ranked_steps(day, slots), _soon(day)
    ranked = _in_plan_order(ranked, slots)
    dealt = _dealt(day, ranked, slots)
    return [_round(day, person, ranked, dealt, soon) for person in day.crew_here]


def round_of(day: Day, person: User, slots: Slots | None = None) -> Round:
    """One person's round, whether on the crew list or not."""
    ranked = _in_plan_order(ranked_steps(day, slots), slots)
    return _round(day, person, ranked, _dealt(day, ranked, slots), _soon(day))


def _in_plan_order(ranked: Sequence[Step], slots: Slots | None) -> Sequence[Step]:
    """By the plan's own times; what it leaves out keeps its rank, after all of it."""
    if not slots:
        return ranked
    return sorted(ranked, key=lambda s: slots[s.task.id].start if s.task.id in slots else 10**6)


def _dealt(day: Day, ranked: Sequence[Step], slots: Slots | None) -> Dealt:
    """Who takes each open task: the plan's people who are here, else nobody by name."""
    if not slots:
        return {task: (person,) for task, person in _deal(day.crew_here, ranked).items()}
    return {
        step.task.id: slots[step.task.id].people if step.task.id in slots else ()
        for step in ranked
        if step.task.started_by is None
    }


def see_first(
    day: Day, ranked: Sequence[Step] | None = None, most: int = MOST_FIRST
) -> list[First]:
    """The bikes to see first: those held, by when they roll, then by the most pressing task."""
    found = [_held(bike) for bike in day.bikes if bike.state == BikeState.HELD]
    found = [first for first in found if first.until is not None][:most]
    seen = {first.bike.entry.pk for first in found}
    for step in ranked or ranked_steps(day):
        if len(found) >= most:
            break
        if step.bike.entry.pk not in seen and step.bike.state != BikeState.HELD:
            seen.add(step.bike.entry.pk)
            found.append(
                First(step.bike, step.task.item.text, step.why, step.task.latest_start, "")
            )
    return found


def _held(bike: BikeDay) -> First:
    hold = bike.holds[0]
    return First(
        bike=bike,
        what=hold.words,
        why=_("by %(name)s: release it, or send the bike home") % {"name": hold.raised_by},
        until=bike.where.roll,
        held=_("held"),
    )


def can_do(person: User, task: Task) -> bool:
    return person.is_tuner or task.item.skill == Skill.HELPER


def _deal(crew: Sequence[User], ranked: Iterable[Step]) -> dict[uuid.UUID, int]:
    """Who takes what, the most pressing first: task id to user id.

    Each task goes to whoever is free first and has the skill; a bike stays with whoever
    has it already, and a tuner takes helpers' work only when the helpers are far behind.
    """
    busy = {person.pk: 0 for person in crew}
    with_bike: dict[int, User] = {}
    dealt: dict[uuid.UUID, int] = {}
    for step in ranked:
        task = step.task
        if task.started_by is not None:
            continue
        able = [person for person in crew if can_do(person, task)]
        if not able:
            continue
        person = with_bike.get(task.entry.pk)
        if person not in able:
            spared = TUNER_SPARED if task.item.skill == Skill.HELPER else 0
            person = min(able, key=lambda p: busy[p.pk] + (spared if p.is_tuner else 0))
            with_bike.setdefault(task.entry.pk, person)
        busy[person.pk] += task.item.minutes
        dealt[task.id] = person.pk
    return dealt


def _round(
    day: Day, person: User, ranked: Iterable[Step], dealt: Dealt, soon: Iterable[Step]
) -> Round:
    mine: list[Step] = []
    now: list[Step] = []
    spare: list[Step] = []
    for step in ranked:
        if step.task.state == TaskState.STARTED:
            if step.task.started_by == person.pk:
                mine.append(Step(step.task, step.bike, step.at, mine=True))
        elif can_do(person, step.task):
            his = person.pk in dealt.get(step.task.id, (person.pk,))
            (now if his else spare).append(step)
    return Round(
        person=person,
        now=mine + now,
        spare=spare,
        soon=[step for step in soon if can_do(person, step.task)],
        lunch_until=day.lunch_until(person.pk),
    )


def ranked_steps(day: Day, slots: Slots | None = None) -> list[Step]:
    """Everything open and not waiting for something else, the most pressing first."""
    found = [
        (priority(task, bike, day.at), str(task.id), task, bike)
        for bike in day.bikes
        for task in bike.open_tasks
        if not _must_wait(task, bike, slots) and _worth_doing(task, bike)
    ]
    found.sort(key=lambda one: (-one[0], one[1]))
    return [Step(task, bike, day.at) for _p, _id, task, bike in found]


def _must_wait(task: Task, bike: BikeDay, slots: Slots | None) -> bool:
    """Whether what comes first is still to come.

    The check before the roll is not held up by work that the plan leaves to nobody.
    """
    if not task.waits_for or not slots or task.item.cadence != Cadence.BEFORE:
        return bool(task.waits_for)
    return any(
        first.item.code in task.waits_for
        and first.state not in OVER
        and first.opens < task.closes
        and (first.started is not None or first.id in slots)
        for first in bike.tasks
    )


def _worth_doing(task: Task, bike: BikeDay) -> bool:
    """A held bike is still read and counted, but never prepared to roll."""
    return not (bike.holds and task.item.cadence == Cadence.BEFORE)


def _soon(day: Day) -> list[Step]:
    found = [
        (task.opens, str(task.id), task, bike)
        for bike in day.bikes
        for task in bike.tasks
        if _worth_doing(task, bike)
        and task.state == TaskState.LATER
        and day.at < task.opens <= day.at + AHEAD
    ]
    found.sort(key=lambda one: one[:2])
    return [Step(task, bike, day.at) for _opens, _id, task, bike in found]
