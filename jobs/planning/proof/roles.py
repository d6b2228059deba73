"""The integer problem with roles: people are counted by what they can do.

It is the relaxation with a column for each way to take the people of a task from the roles. In
the relaxation a tuner can be on two tasks at once; here almost every solution can be carried
out. What is fixed is not moved. HiGHS solves it from the plan in the table.
"""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from math import isinf

from ..compiled import CompiledDay, bits
from ..timetable import CrewTimetable
from .relaxation import (
    Columns,
    Solution,
    add_binding_rows,
    add_done_columns,
    bike_rows,
    build_solver,
    cost_of_nothing,
    limit_first_missed,
    precedence_rows,
    read_solution,
)

RoleCounts = tuple[int, ...]  # number of people of each role
Row = tuple[list[int], list[float]]
AS_GOOD = 0.99  # costs are whole: a plan this near to the bound is proven


@dataclass(frozen=True, slots=True)
class RoleProblem:
    """The formulation, how many of each role a column needs, and the people of each role."""

    columns: Columns
    wanted: list[RoleCounts]
    roles: list[list[int]]


def roles_of(problem: CompiledDay) -> list[list[int]]:
    """Groups of people who can do exactly the same tasks."""
    can: dict[int, set[tuple[int, ...]]] = defaultdict(set)
    for able in set(problem.able):
        for person in able:
            can[person].add(able)
    groups: dict[frozenset[tuple[int, ...]], list[int]] = defaultdict(list)
    for person in range(len(problem.crew_ids)):
        groups[frozenset(can[person])].append(person)
    return list(groups.values())


def role_combinations(people: int, available: list[int]) -> Iterator[RoleCounts]:
    """Every way to take so many people from the roles, of which ``available`` are there."""
    if not available:
        if people == 0:
            yield ()
        return
    for count in range(min(people, available[0]) + 1):
        for rest in role_combinations(people - count, available[1:]):
            yield (count, *rest)


def role_problem(
    table: CrewTimetable,
    fixed: Collection[int],
    near: Mapping[int, int] | None = None,
    *,
    first_missed: int,
) -> RoleProblem:
    """The problem of everything that is not fixed.

    ``near``: for each task a mask of the starts that are tried; None: all. ``first_missed``:
    at most so many ``first`` tasks are missed.
    """
    problem, roles = table.problem, roles_of(table.problem)
    free = _free(table, fixed)
    columns, wanted = _columns(table, fixed, free, roles, near or {})
    for own in columns.of_task:
        if own:
            columns.rows.append((list(own), [1.0] * len(own), 1.0))
    limit_first_missed(problem, columns, first_missed)
    bike_rows(problem, columns)
    _role_rows(problem, free, roles, columns, wanted)
    for task in range(len(problem.tasks)):
        for other in problem.predecessors[task]:
            required = other in problem.required[task]
            precedence_rows(problem, columns, task, other, required=required)
    return RoleProblem(columns, wanted, roles)


def relax_role_problem(
    table: CrewTimetable, problem: RoleProblem, seconds: float | None = None
) -> Solution | None:
    """Solve its linear relaxation. None if the time was up. Raises SolverMissingError."""
    if not problem.columns.task:
        return _empty_solution(table, problem)
    model = build_solver(problem.columns, seconds=seconds, presolve=False)
    model.run()
    return read_solution(model, table.problem, problem.columns, integer=False)


def solve_role_problem(
    table: CrewTimetable, problem: RoleProblem, seconds: float | None = None
) -> Solution | None:
    """Solve it, beginning with the plan in the table.

    None if the time was up before there was a solution; a bound without end if there is none.
    Raises SolverMissingError.
    """
    columns, nobody = problem.columns, tuple(0 for _ in problem.roles)
    if not columns.task:
        return _empty_solution(table, problem)
    if not columns.done:
        add_done_columns(columns)
    now = [
        float(table.start[t] == s and w in (_roles_used(table, t, problem.roles), nobody))
        for t, s, w in zip(columns.task, columns.start, problem.wanted, strict=True)
    ]
    model = build_solver(columns, integer=True, seconds=seconds, begin=now, as_good=AS_GOOD)
    model.run()
    solved = read_solution(model, table.problem, columns, integer=True)
    if solved is None or not (solved.x or isinf(solved.bound)):
        return None
    return solved


def _empty_solution(table: CrewTimetable, problem: RoleProblem) -> Solution:
    """The solution if no task has a start."""
    return Solution(cost_of_nothing(table.problem), problem.columns, [], [], optimal=True)


def _free(table: CrewTimetable, fixed: Collection[int]) -> list[int]:
    """For each person a mask of the minutes here and not on a fixed task."""
    free = list(table.problem.crew_free)
    for task in fixed:
        busy = ((1 << table.problem.minutes[task]) - 1) << table.start[task]
        for person in table.crew[task]:
            free[person] &= ~busy
    return free


def _columns(
    table: CrewTimetable,
    fixed: Collection[int],
    free: list[int],
    roles: list[list[int]],
    near: Mapping[int, int],
) -> tuple[Columns, list[RoleCounts]]:
    """The columns, and the people each needs. A fixed task needs none: its people are not free."""
    problem, columns = table.problem, Columns()
    wanted: list[RoleCounts] = []
    for task, allowed in enumerate(problem.allowed):
        begin = len(columns.task)
        if task in fixed:
            pairs = [(table.start[task], tuple(0 for _ in roles))]
        else:
            able = set(problem.able[task])
            each = list(
                role_combinations(problem.people[task], [len(able.intersection(r)) for r in roles])
            )
            runs = [[_runs(problem, task, free[person]) for person in role] for role in roles]
            starts = bits(allowed & near.get(task, -1))
            pairs = [(s, w) for s in starts for w in each if _enough(runs, s, w)]
        for start, want in pairs:
            columns.task.append(task)
            columns.start.append(start)
            columns.cost.append(problem.cost(task, start) - problem.tasks[task].miss_cost)
            wanted.append(want)
        columns.of_task.append(range(begin, len(columns.task)))
    return columns, wanted


def _runs(problem: CompiledDay, task: int, free: int) -> int:
    """Starts at which somebody is free as long as the task lasts."""
    for shift in problem.shifts[problem.minutes[task]]:
        free &= free >> shift
    return free


def _enough(runs: list[list[int]], start: int, want: RoleCounts) -> bool:
    """Whether enough people of each role are free as long as the task lasts."""
    return all(
        count <= sum(run >> start & 1 for run in role)
        for role, count in zip(runs, want, strict=True)
        if count
    )


def _roles_used(table: CrewTimetable, task: int, roles: list[list[int]]) -> RoleCounts:
    return tuple(sum(person in role for person in table.crew[task]) for role in roles)


def _role_rows(
    problem: CompiledDay,
    free: list[int],
    roles: list[list[int]],
    columns: Columns,
    wanted: list[RoleCounts],
) -> None:
    """Per minute no more people of a role at work than are free.

    Where somebody comes or leaves, a task that lasts over that minute needs people who stay.
    """
    for r, role in enumerate(roles):
        changes = {m for p in role for m in bits(free[p] ^ free[p] << 1)}
        at_work: dict[int, Row] = {}
        lasting: dict[int, Row] = {}
        for i, (task, start) in enumerate(zip(columns.task, columns.start, strict=True)):
            if wanted[i][r]:
                for minute in range(start, start + problem.minutes[task]):
                    _add(at_work, minute, i, wanted[i][r])
                    if minute > start and minute in changes:
                        _add(lasting, minute, i, wanted[i][r])
        for rows, before in ((at_work, 0), (lasting, 1)):
            here = {m: sum(free[p] >> m & free[p] >> m - before & 1 for p in role) for m in rows}
            add_binding_rows(columns, ((*rows[m], float(here[m])) for m in sorted(rows)))


def _add(rows: dict[int, Row], minute: int, column: int, people: int) -> None:
    row = rows.setdefault(minute, ([], []))
    row[0].append(column)
    row[1].append(float(people))


def place_with_roles(
    table: CrewTimetable,
    task: int,
    start: int,
    wanted: RoleCounts,
    roles: list[list[int]],
    prefer: Collection[int] = (),
) -> None:
    """Place a task with people of these roles who are free, or with anyone who is.

    Those in ``prefer`` are taken first, then those who have the least free time left.
    """
    problem = table.problem
    if not table.free_starts(task) >> start & 1:
        return
    crew: list[int] = []
    for role, count in zip(roles, wanted, strict=True):
        free = [
            person
            for person in role
            if person in problem.able[task]
            and table.person_starts(person, problem.minutes[task]) >> start & 1
        ]
        free.sort(key=lambda person: (person not in prefer, _free_from(table, person, start)))
        crew += free[:count]
    if len(crew) < sum(wanted):
        crew = list(table.free_crew(task, start))
    if crew:
        table.place(task, start, tuple(crew))


def _free_from(table: CrewTimetable, person: int, start: int) -> int:
    """The number of minutes for which a person stays free."""
    busy = ~(table.crew_free[person] >> start)
    return (busy & -busy).bit_length() - 1
