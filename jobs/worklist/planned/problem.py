"""The day as the planner's problem: crew, open and later tasks, what people have decided.

In two steps: what is asked of the planner (``day_work``), which every page compares with
the plan in force, and the problem in the planner's own form, for a plan to be made.
Ids are the tasks' own ids as text and the users' ids, so that a plan can be read back. Names
go with them, because ids are others on another database, and the same day is planned the same.
"""

import uuid
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property, lru_cache
from operator import attrgetter
from typing import NamedTuple

from jobs import planning
from jobs.people.models import User
from jobs.planning import Assignment, CrewMember
from jobs.planning.model import Id, Window
from jobs.trackday import clock

from ..bikes import BikeDay
from ..day import Day
from ..derive import BEHIND_ARRIVAL_CHECKS, Task
from ..enums import Cadence, Mark, Skill, TaskState
from ..models import PlanWish
from ..slack import CHANGED, COMPLAINT, FIRST_OUTING, weight
from .minutes import minute_from, minute_to

# By how much a missed setup task costs more on a bike that was changed last time, is back
# from its first session of the day, or has a complaint (common practice, no source). The
# cost of a safety task is above all of them without a factor.
MISS_COST_FACTORS = {CHANGED: 1.4, FIRST_OUTING: 1.25, COMPLAINT: 1.15}
# Per minute that an arrival check ends after its close and before the roll: it is made all the
# same, but others are not made late for nothing (our judgement).
LATE_CHECK_COST = 10
LAST_MINUTE = 60 * 36
PERSON = "person "
TO_DO = frozenset({TaskState.OPEN, TaskState.LATER})
STARTED = TaskState.STARTED
opens = attrgetter("opens")


@lru_cache(maxsize=32768)
def id_text(task_id: uuid.UUID) -> str:
    """A task's id as the planner and the plan as kept have it."""
    return str(task_id)


TasksByCode = dict[tuple[int, str], list[Task]]


class ComesAfter(NamedTuple):
    """The ids of the tasks that come before one: if they are done, and necessarily."""

    after: tuple[str, ...]
    requires: tuple[str, ...]


class TaskToPlan(NamedTuple):
    """One task asked of the planner: the skill it takes, and when it can be done."""

    task: Task
    bike: BikeDay
    skill: str
    windows: tuple[Window, ...]
    zero: datetime

    @property
    def minutes(self) -> int:
        """As planned; in a window that is too short for that, as long as it is."""
        planned = self.task.item.planned_minutes
        return min([planned, *(last - first for first, last in self.windows)])


@dataclass(frozen=True)
class WorkToPlan:
    """Everything asked of the planner, by the task's id as text; ``zero`` is minute 0.

    ``asked`` has also the tasks that nobody can do or that are too short of time.
    """

    crew: tuple[CrewMember, ...]
    asked: Sequence[tuple[BikeDay, Task]]
    to_do: Mapping[str, TaskToPlan]
    locked: tuple[Assignment, ...]
    now: int
    zero: datetime

    @cached_property
    def arrival_checks(self) -> dict[int, list[str]]:
        """By entry, the arrival checks that are to be made."""
        found: dict[int, list[str]] = {}
        for key, one in self.to_do.items():
            if one.task.item.arrival_check:
                found.setdefault(one.task.entry.pk, []).append(key)
        return found

    @cached_property
    def held(self) -> frozenset[Id]:
        """What somebody has begun or pinned."""
        return frozenset(a.task for a in self.locked)


@dataclass(frozen=True)
class Problem:
    """The planner's problem, what is locked in it, and its tasks by id, its bikes by entry."""

    day: planning.PlanningDay
    now: int
    zero: datetime
    locked: tuple[Assignment, ...] = ()
    tasks: Mapping[uuid.UUID, Task] = field(default_factory=dict)
    bikes: Mapping[int, BikeDay] = field(default_factory=dict)


def day_problem(day: Day, *, expected: bool = False) -> Problem:
    """Everything that is still to do today, and who is there to do it.

    ``expected``: bikes that are not here yet are supposed to come in time.
    """
    return as_problem(day_work(day, expected=expected))


def day_work(day: Day, *, expected: bool = False) -> WorkToPlan:
    """What is asked of the planner; ``expected`` as in ``day_problem``."""
    zero = clock.midnight(day.trackday)
    now = minute_to(zero, day.at)
    # Where a task was moved to is in its window already.
    given = {wish.task_id: wish for wish in day.wishes if wish.after_session_id is None}
    people = {member.user.pk for member in day.crew}
    asked: list[tuple[BikeDay, Task]] = []
    locked: list[Assignment] = []
    for bike in day.bikes:
        for task in bike.tasks:
            wish = given.get(task.id) if given else None
            if task.state is STARTED:
                asked.append((bike, task))
                locked.append(_begun(task, zero, now))
            elif _is_asked(bike, task, wish, expected):
                asked.append((bike, task))
                locked += _pinned(task, wish, now)
    crew = _crew(day, zero, {a.crew[0] for a in locked} - people)
    to_do = _to_do(asked, given, crew, zero, {a.task for a in locked})
    return WorkToPlan(crew, asked, to_do, tuple(a for a in locked if a.task in to_do), now, zero)


def as_problem(work: WorkToPlan) -> Problem:
    """The work in the planner's own form."""
    codes: TasksByCode = {}
    for _bike, task in work.asked:
        codes.setdefault((task.entry.pk, task.item.code), []).append(task)
    bikes = {bike.entry.pk: bike for bike, _task in work.asked}
    dearer = {pk: MISS_COST_FACTORS.get(weight(bike)[0], 1.0) for pk, bike in bikes.items()}
    tasks = [
        _planned(one, dearer[one.task.entry.pk], _order(one.task, codes, work))
        for one in work.to_do.values()
    ]
    return Problem(
        day=planning.PlanningDay(work.crew, tuple(tasks)),
        now=work.now,
        zero=work.zero,
        locked=work.locked,
        tasks={one.task.id: one.task for one in work.to_do.values()},
        bikes=bikes,
    )


def _is_asked(bike: BikeDay, task: Task, wish: PlanWish | None, expected: bool) -> bool:
    """Open or later, not dropped, and of use: the bike is here, and not held for it.

    Who knows when a bike comes that is not here: its work gets no hour.
    """
    if task.state not in TO_DO or (wish is not None and wish.dropped):
        return False
    if bike.holds and task.item.cadence == Cadence.BEFORE:
        return False
    return expected or bike.where.arrived_at is not None


def _begun(task: Task, zero: datetime, now: int) -> Assignment:
    """A task started and not ticked: its person is busy with it until the next minute at least."""
    mark = next(m for m in reversed(task.marks) if m.mark == Mark.STARTED)
    start = max(minute_to(zero, mark.done_at), now + 1 - task.item.planned_minutes)
    return Assignment(id_text(task.id), min(start, now - 1), (mark.by_id,))


def _pinned(task: Task, wish: PlanWish | None, now: int) -> list[Assignment]:
    """A task pinned to a person and a time that is not over: no plan moves it."""
    if wish is None or wish.start_minute is None or wish.person_id is None:
        return []
    if wish.start_minute < now:
        return []
    return [Assignment(id_text(task.id), wish.start_minute, (wish.person_id,))]


def _crew(day: Day, zero: datetime, others: Iterable[object]) -> tuple[CrewMember, ...]:
    """The day's list; whoever else has a task in hand is only there for that."""
    found = []
    for member in day.crew:
        off = []
        if member.joins_at is not None:
            off.append((0, max(minute_from(zero, member.joins_at), 0)))
        if member.leaves_at is not None:
            off.append((max(minute_to(zero, member.leaves_at), 0), LAST_MINUTE))
        if member.lunch_from is not None and member.lunch_to is not None:
            off.append((minute_to(zero, member.lunch_from), minute_from(zero, member.lunch_to)))
        user = member.user
        found.append(CrewMember(user.pk, _skills(user), tuple(off), user.username))
    found += [CrewMember(int(str(p)), frozenset(), ((0, LAST_MINUTE),)) for p in others]
    return tuple(found)


def _skills(user: User) -> frozenset[str]:
    own = {Skill.HELPER.value, person_skill(user.pk)}
    return frozenset(own | {Skill.TUNER.value} if user.is_tuner else own)


def person_skill(user_id: int) -> str:
    """What only one person has: a task given to somebody asks for it."""
    return f"{PERSON}{user_id}"


def _to_do(
    asked: Sequence[tuple[BikeDay, Task]],
    wishes: Mapping[uuid.UUID, PlanWish],
    crew: Sequence[CrewMember],
    zero: datetime,
    locked: set[Id],
) -> dict[str, TaskToPlan]:
    able = Counter(skill for member in crew for skill in member.skills)
    found: dict[str, TaskToPlan] = {}
    for bike, task in asked:
        key = id_text(task.id)
        skill = _skill(task, wishes.get(task.id) if wishes else None)
        windows = _window(bike, task, zero)
        if key in locked or (windows and able[skill] >= task.item.people):
            found[key] = TaskToPlan(task, bike, skill, windows, zero)
    return _without_those_that_wait(asked, found, locked)


def _without_those_that_wait(
    asked: Iterable[tuple[BikeDay, Task]], found: dict[str, TaskToPlan], locked: set[Id]
) -> dict[str, TaskToPlan]:
    """Without the checks before a roll that wait for an arrival check there is no time for."""
    waiting = {
        task.entry.pk
        for _bike, task in asked
        if task.item.arrival_check and id_text(task.id) not in found
    }
    if not waiting:
        return found
    return {
        key: one
        for key, one in found.items()
        if key in locked
        or one.task.entry.pk not in waiting
        or one.task.item.cadence != Cadence.BEFORE
    }


def _skill(task: Task, wish: PlanWish | None) -> str:
    if wish is not None and wish.person_id is not None and task.item.people == 1:
        return person_skill(wish.person_id)
    return task.item.skill


def _planned(one: TaskToPlan, dearer: float, order: ComesAfter) -> planning.PlanningTask:
    task, item = one.task, one.task.item
    due = minute_to(one.zero, task.closes) if item.arrival_check else None
    as_it_is = item.safety or task.state == TaskState.LATER
    return planning.PlanningTask(
        id=id_text(task.id),
        bike=task.entry.pk,
        kind=short_name(item.text),
        minutes=one.minutes,
        people=1 if task.state is STARTED else item.people,
        skill=one.skill,
        windows=one.windows,
        due=due,
        miss_cost=item.miss_cost if as_it_is else round(item.miss_cost * dearer),
        late_cost_per_min=0 if due is None else LATE_CHECK_COST,
        after=order.after,
        requires=order.requires,
        place=_place(task.entry.bay),
        first=item.arrival_check,
        name=_name(task, one.bike),
    )


def _name(task: Task, bike: BikeDay) -> str:
    """What tells a task from the others of its day, the same on every database.

    A number may be missing or there twice, so the frame goes with it.
    """
    entry, item = task.entry, task.item
    sessions = (outing.times.session for outing in bike.where.outings)
    number = next((each.number for each in sessions if each.pk == task.session_id), "")
    return f"{entry.number}/{entry.bike.frame_last4}/{item.checklist.code}/{item.code}/{number}"


@lru_cache(maxsize=1024)
def short_name(text: str) -> str:
    """A task as it is named among others: what stands before the first colon or comma."""
    name = text.partition(":")[0].partition(",")[0]
    return name[:1].lower() + name[1:]


def _window(bike: BikeDay, task: Task, zero: datetime) -> tuple[Window, ...]:
    """From opening to the latest end; a read that fades need only begin by its close.

    An arrival check may be made until the bike rolls. If it rolled without, it is made when
    it is back, before it rolls again. Work that was learned to take longer than its window is
    asked for all the same, if the checklist's own minutes fit.
    """
    planned = task.item.planned_minutes
    first, last = max(minute_from(zero, task.opens), 0), minute_to(zero, task.closes)
    if task.item.must_start:
        last += planned
    if task.item.arrival_check:
        stop, roll = bike.where.stop, bike.where.roll
        first = first if stop is None else max(first, minute_from(zero, stop))
        last = last if roll is None else max(last, minute_to(zero, roll))
    return ((first, last),) if last - first >= min(planned, task.item.minutes) else ()


def _order(task: Task, codes: TasksByCode, work: WorkToPlan) -> ComesAfter:
    """What comes first, of the same turnaround or once: the last that opens before it closes.

    All other work on arrival comes after the bike's arrival checks, and a check before a roll
    requires them; an arrival check comes at most after another. What a person has begun or
    pinned stays, and is in nobody's way.
    """
    checks = set(work.arrival_checks.get(task.entry.pk, ()))
    found = []
    for code in task.item.after:
        others = [o for o in codes.get((task.entry.pk, code), ()) if o.opens < task.closes]
        if others:
            found.append(id_text(max(others, key=opens).id))
    after = [key for key in found if key in work.to_do]
    if task.item.arrival_check:
        return ComesAfter(tuple(key for key in after if key in checks), ())
    after = [key for key in after if key not in checks]
    if id_text(task.id) in work.held or task.item.cadence not in BEHIND_ARRIVAL_CHECKS:
        return ComesAfter(tuple(after), ())
    if task.item.cadence == Cadence.BEFORE:
        return ComesAfter(tuple(after), tuple(sorted(checks)))
    return ComesAfter((*after, *sorted(checks)), ())


@lru_cache(maxsize=1024)
def _place(bay: str) -> int | None:
    digits = "".join(each for each in bay if each.isdecimal())
    return int(digits) if digits else None
