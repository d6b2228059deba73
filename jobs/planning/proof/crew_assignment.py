"""People for tasks whose starts are decided, as an integer problem solved by HiGHS.

A problem that counts people by role does not say who does a task, and can give a task to
somebody who is needed elsewhere before it ends. Here a column is a task with one possible set
of people, and nobody has two tasks in a minute.
"""

from collections.abc import Mapping
from itertools import combinations

from ..search import Preferences, TimeLimit
from ..timetable import CrewTimetable
from .relaxation import Columns, build_solver, people_rows, precedence_rows, read_solution

CREW_CHANGE_PENALTY = 0.001  # so small that it decides only between equal costs


def assign_crews(
    table: CrewTimetable, preferences: Preferences, starts: Mapping[int, int], time_limit: TimeLimit
) -> None:
    """Place as many of these tasks at their starts as possible, the most costly first of all.

    Whatever is in the table already stays. Raises SolverMissingError.
    """
    columns, crews = _columns(table, preferences, starts)
    if not columns.task:
        return
    _rows(table, columns, crews)
    model = build_solver(
        columns,
        integer=True,
        seconds=time_limit.remaining(),
        begin=[0.0] * len(crews),
        as_good=CREW_CHANGE_PENALTY if table.problem.first else 0.0,
    )
    model.run()
    solved = read_solution(model, table.problem, columns, integer=True)
    if solved is None:
        return
    chosen = [c for c, x in enumerate(solved.x) if x > 0.5]
    for c in sorted(chosen, key=lambda c: columns.start[c]):
        task, start = columns.task[c], columns.start[c]
        if table.free_starts(task) >> start & 1:
            table.place(task, start, crews[c])


def _columns(
    table: CrewTimetable, preferences: Preferences, starts: Mapping[int, int]
) -> tuple[Columns, list[tuple[int, ...]]]:
    problem, columns = table.problem, Columns()
    columns.of_task = [range(0)] * len(problem.tasks)
    crews: list[tuple[int, ...]] = []
    for task, start in sorted(starts.items()):
        begin, minutes = len(crews), problem.minutes[task]
        free = [p for p in problem.able[task] if table.person_starts(p, minutes) >> start & 1]
        worth = problem.cost(task, start) - problem.miss_cost[task]
        for crew in combinations(free, problem.people[task]):
            columns.task.append(task)
            columns.start.append(start)
            columns.cost.append(worth + CREW_CHANGE_PENALTY * preferences.moved(task, start, crew))
            crews.append(crew)
        columns.of_task[task] = range(begin, len(crews))
    return columns, crews


def _rows(table: CrewTimetable, columns: Columns, crews: list[tuple[int, ...]]) -> None:
    problem = table.problem
    for task, own in enumerate(columns.of_task):
        if own:
            columns.rows.append((list(own), [1.0] * len(own), 1.0))
            for other in problem.required[task]:
                if table.start[other] < 0:
                    precedence_rows(problem, columns, task, other, required=True)
    people_rows(problem, columns, crews)
