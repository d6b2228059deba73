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
from .relaxation import Columns, Solved, as_model, bike_rows, keep_rows, precedence_rows, read
from .timetable import Timetable

Wanted = tuple[int, ...]  # people of each role
AS_GOOD = 0.99  # costs are whole numbers: a plan within this of the bound is proven


@dataclass(frozen=True, slots=True)
class Manned:
    """An outcome with the people wanted of each role, per column."""

    solved: Solved
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


def solve_manned(
    table: Timetable,
    held: Collection[int],
    *,
    seconds: float | None = None,
    near: Mapping[int, int] | None = None,
) -> Manned | None:
    """Solve; ``near``: masks of starts, and nothing else is tried: quick, but no bound.

    None if the time was up before there was anything to show. Raises SolverMissingError.
    """
    problem, roles = table.problem, roles_of(table.problem)
    columns, wanted = _columns(table, held, roles, near or {})
    if not columns.task:
        return None
    for own in columns.of_task:
        if own:
            columns.rows.append((list(own), [1.0] * len(own), 1.0))
    bike_rows(problem, columns)
    _role_rows(table, held, roles, columns, wanted)
    for task in range(len(problem.tasks)):
        for other in problem.before[task]:
            required = other in problem.needs[task]
            precedence_rows(problem, columns, task, other, required=required)
    now = [
        float(table.start[t] == s and _wants(table, t, roles) == w)
        for t, s, w in zip(columns.task, columns.start, wanted, strict=True)
    ]
    model = as_model(columns, integer=True, seconds=seconds, begin=now, as_good=AS_GOOD)
    model.run()
    solved = read(model, problem, columns, integer=True)
    return Manned(solved, wanted, roles) if solved is not None and solved.x else None


def _columns(
    table: Timetable, held: Collection[int], roles: list[list[int]], near: Mapping[int, int]
) -> tuple[Columns, list[Wanted]]:
    problem, columns = table.problem, Columns()
    wanted: list[Wanted] = []
    for task, allowed in enumerate(problem.allowed):
        begin = len(columns.task)
        if task in held:
            pairs = [(table.start[task], _wants(table, task, roles))]
        else:
            able = set(problem.able[task])
            each = list(ways(problem.people[task], [len(able.intersection(r)) for r in roles]))
            starts = bits(allowed & near.get(task, -1))
            pairs = [(s, w) for s in starts for w in each if _there(problem, task, s, w, roles)]
        for start, want in pairs:
            columns.task.append(task)
            columns.start.append(start)
            columns.cost.append(problem.cost(task, start) - problem.miss[task])
            wanted.append(want)
        columns.of_task.append(range(begin, len(columns.task)))
    return columns, wanted


def _wants(table: Timetable, task: int, roles: list[list[int]]) -> Wanted:
    return tuple(sum(person in role for person in table.crew[task]) for role in roles)


def _there(problem: Compiled, task: int, start: int, want: Wanted, roles: list[list[int]]) -> bool:
    """Whether enough of each role are at work all the while."""
    all_of_it = (1 << problem.minutes[task]) - 1
    return all(
        count <= sum(problem.crew_free[p] >> start & all_of_it == all_of_it for p in role)
        for role, count in zip(roles, want, strict=True)
        if count
    )


def _role_rows(
    table: Timetable,
    held: Collection[int],
    roles: list[list[int]],
    columns: Columns,
    wanted: list[Wanted],
) -> None:
    """Each minute no more of a role at work than are there; what is held is there anyway."""
    problem = table.problem
    for r, role in enumerate(roles):
        rows: dict[int, tuple[list[int], list[float]]] = {}
        for i, (task, start) in enumerate(zip(columns.task, columns.start, strict=True)):
            if wanted[i][r]:
                for minute in range(start, start + problem.minutes[task]):
                    row = rows.setdefault(minute, ([], []))
                    row[0].append(i)
                    row[1].append(float(wanted[i][r]))
        limited = []
        for minute in sorted(rows):
            there = sum(problem.crew_free[person] >> minute & 1 for person in role)
            fixed = sum(
                1
                for person in role
                for task in held
                if person in table.crew[task]
                and table.start[task] <= minute < table.start[task] + problem.minutes[task]
            )
            limited.append((*rows[minute], float(max(there, fixed))))
        keep_rows(columns, limited)


def put_manned(
    table: Timetable,
    task: int,
    start: int,
    wanted: Wanted,
    roles: list[list[int]],
    prefer: Collection[int] = (),
) -> None:
    """With people of the roles wanted who are free, or with whoever is."""
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
        free.sort(key=lambda person: person not in prefer)
        crew += free[:count]
    if len(crew) < sum(wanted):
        crew = list(table.free_crew(task, start))
    if crew:
        table.place(task, start, tuple(crew))
