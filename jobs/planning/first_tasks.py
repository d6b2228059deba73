"""The ``first`` tasks by themselves: as few of them missed as can be found.

What matters less cannot keep a ``first`` task out of a plan, so these tasks are planned alone,
with what has to be done before them, and everything else is planned around them. The problem is
small. The dispatching rules begin and a short search goes on from the best of them, so that no
more are missed than by a crew that does nothing else.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from .compiled import CompiledDay, day_compile, span
from .dispatch import DispatchRule, dispatch
from .left_shift import left_shift
from .model import Assignment, Id, Plan, PlanningDay, PlanningTask
from .previous_plan import place_locked, prefer_previous, slots_of_previous
from .search import Preferences, Search, TimeLimit, with_required
from .timetable import CrewTimetable

ITERATIONS, STEP = 600, 50  # of the search; after each step it may end
WORTH = 1000  # of a ``first`` task in its own problem, where the others are worth nothing

TaskSpan = tuple[int, int, int]  # the first start, the last end, the task


def first_tasks_missed(table: CrewTimetable) -> int:
    """How many ``first`` tasks the plan in the table misses."""
    return table.problem.rank(table.cost)[0]


def plan_first_tasks(
    day: PlanningDay,
    table: CrewTimetable,
    locked: Sequence[Assignment],
    *,
    now: int | None,
    seed: int,
    time_limit: TimeLimit,
    previous: Plan | None = None,
    shifts: Mapping[Id, int] | None = None,
) -> tuple[Assignment, ...]:
    """Where to do the ``first`` tasks so that fewer are missed than in the table; () if nowhere.

    ``locked`` and ``now`` are those that the table was made with. With ``previous`` they stay
    close to it; ``shifts`` as in ``previous_plan.slots_of_previous``.
    """
    if not first_tasks_missed(table):
        return ()
    problem = day_compile(_alone(day, table.problem, locked), now=now, locked=locked)
    own, preferences = _best_dispatch(problem, locked)
    if previous is not None:
        slots = slots_of_previous(problem, previous, shifts or {})
        preferences = prefer_previous(slots, preferences.fixed)
    least = WORTH * _least_missed(problem, locked)
    search = Search(own, seed, preferences)
    for _ in range(0, ITERATIONS, STEP):
        if own.cost <= least or time_limit.is_over():
            break
        search.run(STEP, time_limit)
    left_shift(own, preferences)
    if own.cost // WORTH >= first_tasks_missed(table):
        return ()
    held = {a.task for a in locked}
    return tuple(a for a in own.assignments() if a.task not in held)


def place_first_tasks(table: CrewTimetable, assignments: Sequence[Assignment]) -> None:
    """Place them in a table that holds nothing but what is locked."""
    problem = table.problem
    for a in assignments:
        crew = tuple(problem.crew_index[person] for person in a.crew)
        table.place(problem.index[a.task], a.start - problem.base, crew)


def _alone(day: PlanningDay, problem: CompiledDay, locked: Sequence[Assignment]) -> PlanningDay:
    """The day with the ``first`` tasks, what they require, and what is locked."""
    held = {a.task for a in locked}
    wanted = {problem.tasks[i].id for i in with_required(problem, problem.first)}
    kept = wanted | held

    def worth(task: PlanningTask) -> PlanningTask:
        return replace(
            task,
            due=None,
            miss_cost=WORTH if task.first else 0,
            after=tuple(other for other in task.after if other in kept),
            requires=tuple(other for other in task.requires if other in kept),
            first=False,
        )

    return replace(day, tasks=tuple(worth(task) for task in day.tasks if task.id in kept))


def _best_dispatch(
    problem: CompiledDay, locked: Sequence[Assignment]
) -> tuple[CrewTimetable, Preferences]:
    tables, fixed = [], frozenset[int]()
    for rule in DispatchRule:
        table = CrewTimetable(problem)
        fixed = place_locked(table, locked)
        tables.append(dispatch(problem, rule, table))
    return min(tables, key=lambda table: table.cost), Preferences(fixed=fixed)


def _least_missed(problem: CompiledDay, locked: Sequence[Assignment]) -> int:
    """No plan misses fewer than this.

    What could not be done even alone is missed. Of the rest, the tasks that begin and end inside
    an interval are counted against how often somebody is free there long enough; intervals that
    do not overlap are added.
    """
    table = CrewTimetable(problem)
    place_locked(table, locked)
    spans, missed = [], 0
    for task, worth in enumerate(problem.miss_cost):
        if worth and table.start[task] < 0:
            mask = problem.allowed[task] & table.bike_starts(task) & table.crew_starts(task)
            if mask:
                first = (mask & -mask).bit_length() - 1
                spans.append((first, mask.bit_length() - 1 + problem.minutes[task], task))
            else:
                missed += 1
    return missed + sum(_too_many(table, group) for group in _overlapping(spans))


def _overlapping(spans: list[TaskSpan]) -> list[list[TaskSpan]]:
    """Groups of spans so that no two of different groups overlap."""
    groups: list[list[TaskSpan]] = []
    end = -1
    for each in sorted(spans):
        if each[0] >= end:
            groups.append([])
        groups[-1].append(each)
        end = max(end, each[1])
    return groups


def _too_many(table: CrewTimetable, spans: list[TaskSpan]) -> int:
    """By how many the tasks inside one interval exceed what the people can do in it, at most."""
    most = 0
    for begin in sorted({first for first, _end, _task in spans}):
        for last in sorted({end for _first, end, _task in spans}):
            inside = [t for first, end, t in spans if begin <= first and end <= last]
            if len(inside) > most:
                most = max(most, len(inside) - _room(table, inside, begin, last))
    return most


def _room(table: CrewTimetable, tasks: list[int], begin: int, last: int) -> int:
    """An upper bound on how many of the tasks can be done between two minutes."""
    problem = table.problem
    shortest = min(problem.minutes[t] for t in tasks)
    fewest = min(problem.people[t] for t in tasks)
    able = {person for t in tasks for person in problem.able[t]}
    within = span(begin, last)
    times = 0
    for person in able:
        free, minute = table.crew_free[person] & within, begin
        while free >> minute:
            minute += ((free >> minute) & -(free >> minute)).bit_length() - 1
            busy = ~(free >> minute)
            run = (busy & -busy).bit_length() - 1
            times += run // shortest
            minute += run
    return times // fewest
