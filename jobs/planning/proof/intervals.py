"""Intervals of the day solved exactly by CP-SAT: a column per task, start and roles.

A model of the whole day takes too long. An interval of 45 minutes, with everything outside it
unchanged, is solved in a second or two. ``ortools`` is imported when first needed.
"""

from collections import defaultdict
from collections.abc import Iterator
from importlib.util import find_spec
from typing import Any

from ..compiled import bits, span
from ..search import Preferences
from ..timetable import CrewTimetable
from .roles import place_with_roles, role_combinations, roles_of

INTERVAL = 45  # minutes
DETERMINISTIC_TIME = 1.5  # CP-SAT's deterministic time per interval; not seconds
Column = tuple[int, int, tuple[int, ...]]  # task, start, people wanted of each role


def interval_solver_available() -> bool:
    """Whether ``ortools`` can be imported."""
    return find_spec("ortools") is not None


def improve_interval(
    table: CrewTimetable,
    preferences: Preferences,
    first: int,
    seed: int,
    seconds: float | None = None,
) -> None:
    """Solve the interval that begins at ``first`` again. A plan that is worse is not taken."""
    slots, cost = table.snapshot(), table.cost
    last = first + INTERVAL
    free = _remove(table, preferences, first, last)
    roles = roles_of(table.problem)
    columns = list(_columns(table, free, roles, span(first, last)))
    chosen = _solve(table, columns, roles, slots, seed, seconds)
    for task, start, wanted in sorted(chosen, key=lambda c: (c[1], c[0])):
        place_with_roles(table, task, start, wanted, roles)
    for task in free:
        if table.start[task] < 0 and slots[task][0] >= 0:
            _put_anywhere(table, task)
    if table.cost >= cost:
        table.restore(slots)


def _remove(table: CrewTimetable, preferences: Preferences, first: int, last: int) -> list[int]:
    """Remove the tasks inside the interval that nothing outside depends on.

    Returns them with the missed tasks that may start in the interval.
    """
    problem = table.problem
    missed = [t for t in bits(table.missed) if problem.allowed[t] & span(first, last)]
    inside = {
        t
        for task_at in table.task_at
        for t in task_at[first:last]
        if t >= 0
        and t not in preferences.fixed
        and table.start[t] >= first
        and table.start[t] + problem.minutes[t] <= last
    }
    kept = {t for t in inside if any(table.start[o] >= 0 for o in problem.required_by[t])}
    while more := {t for t in inside - kept if any(o in kept for o in problem.required_by[t])}:
        kept |= more
    for task in inside - kept:
        table.remove(task)
    return sorted({*missed, *(inside - kept)})


def _columns(
    table: CrewTimetable, free: list[int], roles: list[list[int]], interval: int
) -> Iterator[Column]:
    problem = table.problem
    taken = set(free)
    for task in free:
        needs = problem.required[task]
        if any(table.start[o] < 0 and o not in taken for o in needs):
            continue
        able = set(problem.able[task])
        wanted = list(
            role_combinations(problem.people[task], [len(able.intersection(r)) for r in roles])
        )
        mask = problem.allowed[task] & table.bike_starts(task) & interval
        if not any(table.start[o] < 0 for o in needs):
            mask &= table.precedence_starts(task)
        mask &= table.crew_starts(task)
        for start in bits(mask):
            for each in wanted:
                yield task, start, each


def _solve(
    table: CrewTimetable,
    columns: list[Column],
    roles: list[list[int]],
    slots: list[tuple[int, tuple[int, ...]]],
    seed: int,
    seconds: float | None,
) -> list[Column]:
    from ortools.sat.python import cp_model

    if not columns:
        return []
    problem, model = table.problem, cp_model.CpModel()
    chosen = [model.new_bool_var("") for _ in columns]
    _constrain(model, table, columns, chosen, roles)
    gain = [problem.miss_cost[t] - problem.cost(t, s) for t, s, _ in columns]
    model.maximize(sum(g * v for g, v in zip(gain, chosen, strict=True)))
    role_of = {person: r for r, role in enumerate(roles) for person in role}
    for (task, start, wanted), variable in zip(columns, chosen, strict=True):
        was_start, was_crew = slots[task]
        was = tuple(sum(role_of[p] == r for p in was_crew) for r in range(len(roles)))
        model.add_hint(variable, was_start == start and was == wanted)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = seed
    solver.parameters.linearization_level = 2
    solver.parameters.max_deterministic_time = DETERMINISTIC_TIME
    if seconds is not None:
        solver.parameters.max_time_in_seconds = max(seconds, 0.1)
    if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return []
    return [c for c, v in zip(columns, chosen, strict=True) if solver.boolean_value(v)]


def _constrain(
    model: Any,
    table: CrewTimetable,
    columns: list[Column],
    chosen: list[Any],
    roles: list[list[int]],
) -> None:
    problem = table.problem
    of_task: dict[int, list[int]] = defaultdict(list)
    for i, (task, _, _) in enumerate(columns):
        of_task[task].append(i)
    for own in of_task.values():
        model.add_at_most_one(chosen[i] for i in own)
    _limit(model, table, columns, chosen, roles)
    for task, own in of_task.items():
        for other in problem.predecessors[task]:
            if other in of_task:
                _order(model, problem, columns, chosen, own, of_task[other], other, task)


def _limit(
    model: Any,
    table: CrewTimetable,
    columns: list[Column],
    chosen: list[Any],
    roles: list[list[int]],
) -> None:
    """Per minute at most one task per bike, and of each role no more people than are free."""
    problem = table.problem
    of_bike: dict[tuple[int, int], list[Any]] = defaultdict(list)
    of_role: dict[tuple[int, int], list[Any]] = defaultdict(list)
    for (task, start, wanted), variable in zip(columns, chosen, strict=True):
        for minute in range(start, start + problem.minutes[task]):
            of_bike[problem.bike[task], minute].append(variable)
            for role, count in enumerate(wanted):
                of_role[role, minute] += [count * variable] if count else []
    for on_bike in of_bike.values():
        model.add_at_most_one(on_bike)
    for (role, minute), work in of_role.items():
        if work:
            free = sum(table.crew_free[person] >> minute & 1 for person in roles[role])
            model.add(sum(work) <= free)


def _order(
    model: Any,
    problem: Any,
    columns: list[Column],
    chosen: list[Any],
    own: list[int],
    theirs: list[int],
    other: int,
    task: int,
) -> None:
    """The task starts after the end of the other, and only if that is done, if required."""
    for minute in sorted({columns[i][1] for i in own}):
        early = [chosen[i] for i in own if columns[i][1] <= minute]
        ends = {i: columns[i][1] + problem.minutes[other] for i in theirs}
        late = [chosen[i] for i in theirs if ends[i] > minute]
        model.add(sum(early) + sum(late) <= 1)
        if other in problem.required[task]:
            model.add(sum(early) <= sum(chosen[i] for i in theirs if ends[i] <= minute))


def _put_anywhere(table: CrewTimetable, task: int) -> None:
    mask = table.free_starts(task) & table.crew_starts(task)
    if mask:
        start = (mask & -mask).bit_length() - 1
        table.place(task, start, table.free_crew(task, start))
