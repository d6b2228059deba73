"""Of the plans that cost no more, the one with the fewest tasks moved since the previous plan.

It is an integer problem over the tasks that are done and not fixed. A column is a task with
its present start, or a start near enough to the previous one to count as not moved, and the
people who could do it then. Everything remains done, and the late cost does not rise. HiGHS
solves it from the plan in the table: first only with the previous start itself, then with all
starts that are near.
"""

from collections.abc import Collection, Iterator
from itertools import combinations

from ..compiled import bits, span
from ..search import MOVE_TOLERANCE_MIN, Preferences, TimeLimit
from ..timetable import CrewTimetable, TaskSlot
from .relaxation import (
    Columns,
    bike_rows,
    build_solver,
    people_rows,
    precedence_rows,
    read_solution,
)

Crew = tuple[int, ...]
AS_GOOD = 0.99  # of the bound: the number of moved tasks is whole
TOLERANCES = (0, MOVE_TOLERANCE_MIN)


def reduce_moves(table: CrewTimetable, preferences: Preferences, time_limit: TimeLimit) -> None:
    """Move as few tasks as possible at no more cost. Raises SolverMissingError."""
    for width in TOLERANCES:
        movable = [
            t for t, start in enumerate(table.start) if start >= 0 and t not in preferences.fixed
        ]
        if time_limit.is_over() or not any(_is_moved(table, preferences, task) for task in movable):
            return
        _solve_width(table, preferences, movable, width, time_limit.remaining())


def _is_moved(table: CrewTimetable, preferences: Preferences, task: int) -> bool:
    return preferences.moved(task, table.start[task], table.crew[task])


def _solve_width(
    table: CrewTimetable,
    preferences: Preferences,
    movable: list[int],
    width: int,
    seconds: float | None,
) -> None:
    was = table.snapshot()
    for task in movable:
        table.remove(task)
    columns, crews = _columns(table, preferences, movable, was, width)
    _rows(table, columns, crews, movable, was)
    pairs = zip(columns.task, columns.start, crews, strict=True)
    begin = [float((start, crew) == was[task]) for task, start, crew in pairs]
    model = build_solver(columns, integer=True, seconds=seconds, begin=begin, as_good=AS_GOOD)
    model.run()
    solved = read_solution(model, table.problem, columns, integer=True)
    if solved is None or not solved.x:
        table.restore(was)
        return
    for column, x in enumerate(solved.x):
        if x > 0.5:
            table.place(columns.task[column], columns.start[column], crews[column])


def _columns(
    table: CrewTimetable,
    preferences: Preferences,
    movable: list[int],
    was: list[TaskSlot],
    width: int,
) -> tuple[Columns, list[Crew]]:
    """The columns with their people. A column costs 1 if its task counts as moved."""
    columns, crews = Columns(), list[Crew]()
    columns.of_task = [range(0)] * len(table.problem.tasks)
    for task in movable:
        begin = len(columns.task)
        for start, crew in _slots(table, preferences, task, was[task], width):
            columns.task.append(task)
            columns.start.append(start)
            columns.cost.append(float(preferences.moved(task, start, crew)))
            crews.append(crew)
        columns.of_task[task] = range(begin, len(columns.task))
    return columns, crews


def _slots(
    table: CrewTimetable, preferences: Preferences, task: int, now: TaskSlot, width: int
) -> Iterator[TaskSlot]:
    """The present slot, and the slots near the previous one with each possible set of people."""
    problem = table.problem
    previous = preferences.previous_slots.get(task, now)
    near = span(max(previous[0] - width, 0), max(previous[0] + width + 1, 0))
    free = near & problem.allowed[task] & table.bike_starts(task) & _between_fixed(table, task)
    crews = {frozenset(c): c for c in combinations(problem.able[task], problem.people[task])}
    for known in (previous[1], now[1]):
        crews = {people: known if people == set(known) else c for people, c in crews.items()}
    for start in bits(free | 1 << now[0]):
        for crew in crews.values():
            runs = (table.person_starts(person, problem.minutes[task]) for person in crew)
            if (start, crew) == now or all(run >> start & 1 for run in runs):
                yield start, crew


def _between_fixed(table: CrewTimetable, task: int) -> int:
    """Starts after its fixed predecessors have ended, and early enough for fixed followers."""
    problem, mask = table.problem, -1
    for other in problem.predecessors[task]:
        if table.start[other] >= 0:
            mask &= -1 << (table.start[other] + problem.minutes[other])
    for other in problem.followers[task]:
        if table.start[other] >= 0:
            mask &= span(0, max(table.start[other] - problem.minutes[task] + 1, 0))
    return mask


def _rows(
    table: CrewTimetable,
    columns: Columns,
    crews: list[Crew],
    movable: Collection[int],
    was: list[TaskSlot],
) -> None:
    problem = table.problem
    for task in movable:
        own = list(columns.of_task[task])
        columns.rows.append((own, [1.0] * len(own), 1.0))
        columns.rows.append((own, [-1.0] * len(own), -1.0))
        for other in problem.predecessors[task]:
            if columns.of_task[other]:
                precedence_rows(problem, columns, task, other, required=False)
    bike_rows(problem, columns)
    people_rows(problem, columns, crews)
    late = [problem.cost(t, s) for t, s in zip(columns.task, columns.start, strict=True)]
    costly = [column for column, cost in enumerate(late) if cost]
    limit = sum(problem.cost(task, was[task][0]) for task in movable)
    if costly:
        columns.rows.append((costly, [float(late[c]) for c in costly], float(limit)))
