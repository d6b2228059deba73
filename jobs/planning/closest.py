"""Of the plans that cost no more, the one that leaves most of the plan before as it was.

An integer problem over what is in the plan and may move: a column for a task at its start,
or at one near enough to the plan before to count as unmoved, with the people who could do
it there. Everything stays done, no minute and nobody is used twice, what is late is not
later in sum. Solved by HiGHS, from the plan in the table on: first with the place before
itself, then with all that are near.
"""

from collections.abc import Collection, Iterator
from itertools import combinations

from .compiled import bits, span
from .relaxation import Columns, as_model, bike_rows, people_rows, precedence_rows, read
from .search import NEAR, Clock, Wishes
from .timetable import Slot, Timetable

Crew = tuple[int, ...]
AS_GOOD = 0.99  # moves are counted in whole tasks
WIDTHS = (0, NEAR)


def come_closer(table: Timetable, wishes: Wishes, clock: Clock) -> None:
    """Move and hand over as little as possible, at no more cost. Raises SolverMissingError."""
    for width in WIDTHS:
        loose = [t for t, start in enumerate(table.start) if start >= 0 and t not in wishes.held]
        if clock.over() or not any(_is_moved(table, wishes, task) for task in loose):
            return
        _closest(table, wishes, loose, width, clock.left())


def _is_moved(table: Timetable, wishes: Wishes, task: int) -> bool:
    return wishes.moved(task, table.start[task], table.crew[task])


def _closest(
    table: Timetable, wishes: Wishes, loose: list[int], width: int, seconds: float | None
) -> None:
    was = table.slots()
    for task in loose:
        table.remove(task)
    columns, crews = _columns(table, wishes, loose, was, width)
    _rows(table, columns, crews, loose, was)
    pairs = zip(columns.task, columns.start, crews, strict=True)
    begin = [float((start, crew) == was[task]) for task, start, crew in pairs]
    model = as_model(columns, integer=True, seconds=seconds, begin=begin, as_good=AS_GOOD)
    model.run()
    solved = read(model, table.problem, columns, integer=True)
    if solved is None or not solved.x:
        table.restore(was)
        return
    for column, x in enumerate(solved.x):
        if x > 0.5:
            table.place(columns.task[column], columns.start[column], crews[column])


def _columns(
    table: Timetable, wishes: Wishes, loose: list[int], was: list[Slot], width: int
) -> tuple[Columns, list[Crew]]:
    """A column costs one if the task counts as moved there."""
    columns, crews = Columns(), list[Crew]()
    columns.of_task = [range(0)] * len(table.problem.tasks)
    for task in loose:
        begin = len(columns.task)
        for start, crew in _places(table, wishes, task, was[task], width):
            columns.task.append(task)
            columns.start.append(start)
            columns.cost.append(float(wishes.moved(task, start, crew)))
            crews.append(crew)
        columns.of_task[task] = range(begin, len(columns.task))
    return columns, crews


def _places(table: Timetable, wishes: Wishes, task: int, now: Slot, width: int) -> Iterator[Slot]:
    """Where it is now, and near where it was, with everybody who could do it there."""
    problem = table.problem
    before = wishes.reference.get(task, now)
    near = span(max(before[0] - width, 0), max(before[0] + width + 1, 0))
    free = near & problem.allowed[task] & table.bike_runs(task) & _between_held(table, task)
    crews = {frozenset(c): c for c in combinations(problem.able[task], problem.people[task])}
    for known in (before[1], now[1]):
        crews = {people: known if people == set(known) else c for people, c in crews.items()}
    for start in bits(free | 1 << now[0]):
        for crew in crews.values():
            runs = (table.crew_runs(person, problem.minutes[task]) for person in crew)
            if (start, crew) == now or all(run >> start & 1 for run in runs):
                yield start, crew


def _between_held(table: Timetable, task: int) -> int:
    """Starts after what it follows has ended, and before what follows it, if that is held."""
    problem, mask = table.problem, -1
    for other in problem.before[task]:
        if table.start[other] >= 0:
            mask &= -1 << (table.start[other] + problem.minutes[other])
    for other in problem.behind[task]:
        if table.start[other] >= 0:
            mask &= span(0, max(table.start[other] - problem.minutes[task] + 1, 0))
    return mask


def _rows(
    table: Timetable, columns: Columns, crews: list[Crew], loose: Collection[int], was: list[Slot]
) -> None:
    problem = table.problem
    for task in loose:
        own = list(columns.of_task[task])
        columns.rows.append((own, [1.0] * len(own), 1.0))
        columns.rows.append((own, [-1.0] * len(own), -1.0))
        for other in problem.before[task]:
            if columns.of_task[other]:
                precedence_rows(problem, columns, task, other, required=False)
    bike_rows(problem, columns)
    people_rows(problem, columns, crews)
    late = [problem.cost(t, s) for t, s in zip(columns.task, columns.start, strict=True)]
    costly = [column for column, cost in enumerate(late) if cost]
    limit = sum(problem.cost(task, was[task][0]) for task in loose)
    if costly:
        columns.rows.append((costly, [float(late[c]) for c in costly], float(limit)))
