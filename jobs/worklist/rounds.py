"""Who does what next: of the day as read, each person's tasks in order, with reasons.

Every screen takes rounds from here. Where there is a plan, it decides who does what and in
which order; tasks it leaves out are spare. Without a plan the open tasks are ranked by
weighted slack, and each is assigned to whoever is free first and has the skill.
"""

import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from operator import itemgetter

from django.utils.translation import gettext as _

from jobs.people.models import User

from .bikes import BikeDay
from .day import Day
from .derive import OVER, Task
from .enums import BikeState, Cadence, Skill, TaskState
from .planned.stored import Slots
from .slack import is_urgent_check, priority, reason

Assigned = dict[uuid.UUID, tuple[int, ...]]

AHEAD = timedelta(minutes=30)
MOST_TO_SEE_FIRST = 3
# A tuner gets helpers' work only when every helper has so many more minutes of work waiting.
HELPERS_BEHIND_MINUTES = 10


@dataclass(frozen=True)
class RoundTask:
    """One task in somebody's round; ``mine`` once they have started it."""

    task: Task
    bike: BikeDay
    at: datetime
    mine: bool = False

    @property
    def why(self) -> str:
        """Why it stands where it does, in one line."""
        return reason(self.task, self.bike, self.at)


@dataclass(frozen=True)
class BikeToSee:
    """One bike to see first: for what, why, and until when."""

    bike: BikeDay
    what: str
    why: str
    until: datetime | None
    held: str
    task: Task | None = None


@dataclass(frozen=True)
class Round:
    """One person's tasks in order: ``now`` are their own, ``spare`` those they could help with."""

    person: User
    now: list[RoundTask]
    spare: list[RoundTask]
    soon: list[RoundTask]
    lunch_until: datetime | None = None

    @property
    def next(self) -> RoundTask | None:
        return self.now[0] if self.now else None

    @property
    def on_it(self) -> list[RoundTask]:
        """The tasks that the person has started and not ended."""
        return [step for step in self.now if step.mine]

    @property
    def first(self) -> list[RoundTask]:
        return self.now[:1]


def rounds(
    day: Day, ranked: Sequence[RoundTask] | None = None, slots: Slots | None = None
) -> list[Round]:
    """The rounds of everybody who is here, in the order of the crew list."""
    ranked, soon = ranked or ranked_steps(day, slots), _soon(day)
    ranked = _in_plan_order(ranked, slots)
    assigned = _assigned(day, ranked, slots)
    return [_round(day, person, ranked, assigned, soon) for person in day.crew_here]


def round_of(day: Day, person: User, slots: Slots | None = None) -> Round:
    """One person's round, whether on the crew list or not."""
    ranked = _in_plan_order(ranked_steps(day, slots), slots)
    return _round(day, person, ranked, _assigned(day, ranked, slots), _soon(day))


def _in_plan_order(ranked: Sequence[RoundTask], slots: Slots | None) -> Sequence[RoundTask]:
    """By the plan's own times; what it leaves out keeps its rank, after all of it.

    An arrival check that no plan has time for stands first: somebody decides.
    """
    if not slots:
        return ranked

    def at(step: RoundTask) -> int:
        if step.task.id in slots:
            return slots[step.task.id].start
        return -1 if is_urgent_check(step.task, step.bike, step.at) else 10**6

    return sorted(ranked, key=at)


def _assigned(day: Day, ranked: Sequence[RoundTask], slots: Slots | None) -> Assigned:
    """Who does each open task: the people of the plan; nobody where the plan leaves it out."""
    if not slots:
        return {task: (person,) for task, person in _assign(day.crew_here, ranked).items()}
    return {
        step.task.id: slots[step.task.id].people if step.task.id in slots else ()
        for step in ranked
        if step.task.started_by is None
    }


def bikes_to_see_first(
    day: Day, ranked: Sequence[RoundTask] | None = None, most: int = MOST_TO_SEE_FIRST
) -> list[BikeToSee]:
    """The bikes to see first: those held, by when they roll, then by the most pressing task."""
    found = [_held(bike) for bike in day.bikes if bike.state == BikeState.HELD]
    found = [first for first in found if first.until is not None][:most]
    seen = {first.bike.entry.pk for first in found}
    for step in ranked or ranked_steps(day):
        if len(found) >= most:
            break
        if step.bike.entry.pk not in seen and step.bike.state != BikeState.HELD:
            seen.add(step.bike.entry.pk)
            task = step.task
            found.append(
                BikeToSee(step.bike, task.item.text, step.why, task.latest_start, "", task)
            )
    return found


def least_likely_first(
    ranked: Sequence[RoundTask], slots: Slots, chances: Mapping[int, int]
) -> list[RoundTask]:
    """The follow-ups change places among themselves; all other work keeps its place.

    First stands where most is to be lost by coming late: what presses most, times the chance
    that it is missed. What the plan leaves out stands last, because somebody decides about it
    among what will not fit. ``chances``: by entry, in percent; in their steps the order moves,
    and like ones keep it.
    """
    places = [
        place
        for place, step in enumerate(ranked)
        if step.task.item.cadence == Cadence.FOLLOW_UP and step.task.entry.pk in chances
    ]

    def at_stake(place: int) -> float:
        step = ranked[place]
        if step.task.id not in slots:
            return 0.0
        return priority(step.task, step.bike, step.at) * (100 - chances[step.task.entry.pk])

    ordered, found = sorted(places, key=at_stake, reverse=True), list(ranked)
    for place, other in zip(places, ordered, strict=True):
        found[place] = ranked[other]
    return found


def _held(bike: BikeDay) -> BikeToSee:
    hold = bike.holds[0]
    return BikeToSee(
        bike=bike,
        what=hold.words,
        why=_("by %(name)s: release it, or send the bike home") % {"name": hold.raised_by},
        until=bike.where.roll,
        held=_("held"),
    )


def can_do(person: User, task: Task) -> bool:
    return person.is_tuner or task.item.skill == Skill.HELPER


def _assign(crew: Sequence[User], ranked: Iterable[RoundTask]) -> dict[uuid.UUID, int]:
    """Who does each task, in order of priority: task id to user id.

    Each task goes to whoever is free first and has the skill; the tasks of one bike go to
    one person where the skill allows, and a tuner gets helpers' work only when the helpers
    are far behind.
    """
    busy = {person.pk: 0 for person in crew}
    with_bike: dict[int, User] = {}
    assigned: dict[uuid.UUID, int] = {}
    for step in ranked:
        task = step.task
        if task.started_by is not None:
            continue
        able = [person for person in crew if can_do(person, task)]
        if not able:
            continue
        person = with_bike.get(task.entry.pk)
        if person not in able:
            spared = HELPERS_BEHIND_MINUTES if task.item.skill == Skill.HELPER else 0
            person = min(able, key=lambda p: busy[p.pk] + (spared if p.is_tuner else 0))
            with_bike.setdefault(task.entry.pk, person)
        busy[person.pk] += task.item.planned_minutes
        assigned[task.id] = person.pk
    return assigned


def _round(
    day: Day,
    person: User,
    ranked: Iterable[RoundTask],
    assigned: Assigned,
    soon: Iterable[RoundTask],
) -> Round:
    mine: list[RoundTask] = []
    now: list[RoundTask] = []
    spare: list[RoundTask] = []
    for step in ranked:
        if step.task.state == TaskState.STARTED:
            if step.task.started_by == person.pk:
                mine.append(RoundTask(step.task, step.bike, step.at, mine=True))
        elif can_do(person, step.task):
            theirs = person.pk in assigned.get(step.task.id, (person.pk,))
            (now if theirs else spare).append(step)
    return Round(
        person=person,
        now=mine + now,
        spare=spare,
        soon=[step for step in soon if can_do(person, step.task)],
        lunch_until=day.lunch_until(person.pk),
    )


def ranked_steps(day: Day, slots: Slots | None = None) -> list[RoundTask]:
    """Everything open and not waiting for something else, the most pressing first.

    Arrival checks of bikes that roll soon stand before all other work, by when they roll.
    """
    found = [
        (_rank(task, bike, day.at), str(task.id), task, bike)
        for bike in day.bikes
        for task in bike.open_tasks
        if not _must_wait(task, bike, slots) and _worth_doing(task, bike)
    ]
    found.sort(key=itemgetter(0, 1))
    return [RoundTask(task, bike, day.at) for _rank, _id, task, bike in found]


def _rank(task: Task, bike: BikeDay, at: datetime) -> tuple[bool, float]:
    if is_urgent_check(task, bike, at) and bike.where.roll is not None:
        return False, bike.where.roll.timestamp()
    return True, -priority(task, bike, at)


def _must_wait(task: Task, bike: BikeDay, slots: Slots | None) -> bool:
    """Whether work that comes first is still to be done.

    The check before the roll does not wait for work that the plan leaves out. For an arrival
    check it does, unless the plan has it without: somebody has taken the other out of the plan.
    """
    if not task.waits_for or not slots or task.item.cadence != Cadence.BEFORE:
        return bool(task.waits_for)
    return any(
        first.item.code in task.waits_for
        and first.state not in OVER
        and first.opens < task.closes
        and (
            (first.item.arrival_check and task.id not in slots)
            or first.started is not None
            or first.id in slots
        )
        for first in bike.tasks
    )


def _worth_doing(task: Task, bike: BikeDay) -> bool:
    """On a held bike readings and counts go on; its pre-grid check is not done."""
    return not (bike.holds and task.item.cadence == Cadence.BEFORE)


def _soon(day: Day) -> list[RoundTask]:
    found = [
        (task.opens, str(task.id), task, bike)
        for bike in day.bikes
        if bike.where.arrived_at is not None
        for task in bike.tasks
        if _worth_doing(task, bike)
        and task.state == TaskState.LATER
        and day.at < task.opens <= day.at + AHEAD
    ]
    found.sort(key=lambda one: one[:2])
    return [RoundTask(task, bike, day.at) for _opens, _id, task, bike in found]
