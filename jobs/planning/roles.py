"""The rest of a day as an integer problem that knows roles: tuners are not helpers.

As the relaxation, but a column for each way to man a task, and people counted by role:
what it answers can be given to people nearly always, where the relaxation would have a
tuner on two things at once. What is held stands still. Solved by HiGHS, from the plan in
the table on.
"""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from .compiled import Compiled, bits
from .relaxation import (
    Columns,
    Solved,
    as_model,
    bike_rows,
    count_done,
    keep_rows,
    precedence_rows,
    read,
)
from .timetable import Timetable

Wanted = tuple[int, ...]  # people of each role
Row = tuple[list[int], list[float]]
AS_GOOD = 0.99  # costs are whole numbers: a plan within this of the bound is proven


@dataclass(frozen=True, slots=True)
class Manned:
    """The problem, with the people wanted of each role per column, and who they are."""

    columns: Columns
    wanted: list[Wanted]
    roles: list[list[int]]


def roles_of(problem: Compiled) -> list[list[int]]:
    """People who can do the same work, by the tasks they are able to do."""
    can: dict[int, set[tuple[int, ...]]] = defaultdict(set)
    for able in set(problem.able):
        for person in able:
            can[person].add(able)
    groups: dict[frozenset[tuple[int, ...]], list[int]] = defaultdict(list)
    for person in range(len(problem.crew_ids)):
        groups[frozenset(can[person])].append(person)
    return list(groups.values())


def ways(people: int, there: list[int]) -> Iterator[Wanted]:
    """Ways to take so many people from the roles."""
    if not there:
        if people == 0:
            yield ()
        return
    for count in range(min(people, there[0]) + 1):
        for rest in ways(people - count, there[1:]):
            yield (count, *rest)


def manned(
    table: Timetable, held: Collection[int], near: Mapping[int, int] | None = None
) -> Manned:
    """The problem of what is not held; ``near``: masks of starts, and nothing else is tried."""
    problem, roles = table.problem, roles_of(table.problem)
    free = _free(table, held)
    columns, wanted = _columns(table, held, free, roles, near or {})
    for own in columns.of_task:
        if own:
            columns.rows.append((list(own), [1.0] * len(own), 1.0))
    bike_rows(problem, columns)
    _role_rows(problem, free, roles, columns, wanted)
    for task in range(len(problem.tasks)):
        for other in problem.before[task]:
            required = other in problem.needs[task]
            precedence_rows(problem, columns, task, other, required=required)
    return Manned(columns, wanted, roles)


def relax_manned(table: Timetable, whole: Manned, seconds: float | None = None) -> Solved | None:
    """Its linear relaxation; None if the time was up. Raises SolverMissingError."""
    if not whole.columns.task:
        return _nothing(table, whole)
    model = as_model(whole.columns, seconds=seconds, presolve=False)
    model.run()
    return read(model, table.problem, whole.columns, integer=False)


def solve_manned(table: Timetable, whole: Manned, seconds: float | None = None) -> Solved | None:
    """Solve it, from the plan in the table on.

    None if the time was up before there was anything to show. Raises SolverMissingError.
    """
    columns, nobody = whole.columns, tuple(0 for _ in whole.roles)
    if not columns.task:
        return _nothing(table, whole)
    if not columns.done:
        count_done(columns)
    now = [
        float(table.start[t] == s and w in (_wants(table, t, whole.roles), nobody))
        for t, s, w in zip(columns.task, columns.start, whole.wanted, strict=True)
    ]
    model = as_model(columns, integer=True, seconds=seconds, begin=now, as_good=AS_GOOD)
    model.run()
    solved = read(model, table.problem, columns, integer=True)
    return solved if solved is not None and solved.x else None


def _nothing(table: Timetable, whole: Manned) -> Solved:
    """The answer where no task has a start."""
    return Solved(float(sum(table.problem.miss)), whole.columns, [], [], optimal=True)


def _free(table: Timetable, held: Collection[int]) -> list[int]:
    """Per person the minutes at work and not on what is held."""
    free = list(table.problem.crew_free)
    for task in held:
        busy = ((1 << table.problem.minutes[task]) - 1) << table.start[task]
        for person in table.crew[task]:
            free[person] &= ~busy
    return free


def _columns(
    table: Timetable,
    held: Collection[int],
    free: list[int],
    roles: list[list[int]],
    near: Mapping[int, int],
) -> tuple[Columns, list[Wanted]]:
    """What is held has one column, and wants nobody: who is on it is not free."""
    problem, columns = table.problem, Columns()
    wanted: list[Wanted] = []
    for task, allowed in enumerate(problem.allowed):
        begin = len(columns.task)
        if task in held:
            pairs = [(table.start[task], tuple(0 for _ in roles))]
        else:
            able = set(problem.able[task])
            each = list(ways(problem.people[task], [len(able.intersection(r)) for r in roles]))
            runs = [[_runs(problem, task, free[person]) for person in role] for role in roles]
            starts = bits(allowed & near.get(task, -1))
            pairs = [(s, w) for s in starts for w in each if _there(runs, s, w)]
        for start, want in pairs:
            columns.task.append(task)
            columns.start.append(start)
            columns.cost.append(problem.cost(task, start) - problem.miss[task])
            wanted.append(want)
        columns.of_task.append(range(begin, len(columns.task)))
    return columns, wanted


def _runs(problem: Compiled, task: int, free: int) -> int:
    """Starts from which somebody is free as long as the task lasts."""
    for shift in problem.shifts[problem.minutes[task]]:
        free &= free >> shift
    return free


def _there(runs: list[list[int]], start: int, want: Wanted) -> bool:
    """Whether enough of each role are free all the while."""
    return all(
        count <= sum(run >> start & 1 for run in role)
        for role, count in zip(runs, want, strict=True)
        if count
    )


def _wants(table: Timetable, task: int, roles: list[list[int]]) -> Wanted:
    return tuple(sum(person in role for person in table.crew[task]) for role in roles)


def _role_rows(
    problem: Compiled,
    free: list[int],
    roles: list[list[int]],
    columns: Columns,
    wanted: list[Wanted],
) -> None:
    """Each minute no more of a role at work than are free.

    Where somebody comes or goes, what lasts over that minute is for those who stay.
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
        for rows, back in ((at_work, 0), (lasting, 1)):
            there = {m: sum(free[p] >> m & free[p] >> m - back & 1 for p in role) for m in rows}
            keep_rows(columns, ((*rows[m], float(there[m])) for m in sorted(rows)))


def _add(rows: dict[int, Row], minute: int, column: int, people: int) -> None:
    row = rows.setdefault(minute, ([], []))
    row[0].append(column)
    row[1].append(float(people))


def put_manned(
    table: Timetable,
    task: int,
    start: int,
    wanted: Wanted,
    roles: list[list[int]],
    prefer: Collection[int] = (),
) -> None:
    """With people of the roles wanted who are free, or with whoever is.

    Those preferred come first, then those who are busy again soonest.
    """
    problem = table.problem
    if not table.starts(task) >> start & 1:
        return
    crew: list[int] = []
    for role, count in zip(roles, wanted, strict=True):
        free = [
            person
            for person in role
            if person in problem.able[task]
            and table.crew_runs(person, problem.minutes[task]) >> start & 1
        ]
        free.sort(key=lambda person: (person not in prefer, _free_from(table, person, start)))
        crew += free[:count]
    if len(crew) < sum(wanted):
        crew = list(table.free_crew(task, start))
    if crew:
        table.place(task, start, tuple(crew))


def _free_from(table: Timetable, person: int, start: int) -> int:
    """For how many minutes a person stays free."""
    busy = ~(table.crew_free[person] >> start)
    return (busy & -busy).bit_length() - 1
