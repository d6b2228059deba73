"""Who takes what, once it is decided when: starts given to people as an integer problem.

Counting people by role leaves it open which of them it is, and one task too many may go to
somebody who is due elsewhere before it ends. A column for each set of people who could take
a task at its start; nobody on two tasks in a minute. Solved by HiGHS.
"""

from collections.abc import Mapping
from itertools import combinations

from .relaxation import Columns, as_model, people_rows, precedence_rows, read
from .search import Clock, Wishes
from .timetable import Timetable

ANOTHER = 0.001  # of a cost: people of the plan before, where it costs nothing


def hand_out(table: Timetable, wishes: Wishes, starts: Mapping[int, int], clock: Clock) -> None:
    """Put in as much as can be of what is to start then, the dearest first of all.

    The table holds what stands still, and is free otherwise. Raises SolverMissingError.
    """
    columns, crews = _columns(table, wishes, starts)
    if not columns.task:
        return
    _rows(table, columns, crews)
    model = as_model(columns, integer=True, seconds=clock.left(), begin=[0.0] * len(crews))
    model.run()
    solved = read(model, table.problem, columns, integer=True)
    if solved is None:
        return
    chosen = [c for c, x in enumerate(solved.x) if x > 0.5]
    for c in sorted(chosen, key=lambda c: columns.start[c]):
        task, start = columns.task[c], columns.start[c]
        if table.starts(task) >> start & 1:
            table.place(task, start, crews[c])


def _columns(
    table: Timetable, wishes: Wishes, starts: Mapping[int, int]
) -> tuple[Columns, list[tuple[int, ...]]]:
    problem, columns = table.problem, Columns()
    columns.of_task = [range(0)] * len(problem.tasks)
    crews: list[tuple[int, ...]] = []
    for task, start in sorted(starts.items()):
        begin, minutes = len(crews), problem.minutes[task]
        free = [p for p in problem.able[task] if table.crew_runs(p, minutes) >> start & 1]
        worth = problem.cost(task, start) - problem.miss[task]
        for crew in combinations(free, problem.people[task]):
            columns.task.append(task)
            columns.start.append(start)
            columns.cost.append(worth + ANOTHER * wishes.moved(task, start, crew))
            crews.append(crew)
        columns.of_task[task] = range(begin, len(crews))
    return columns, crews


def _rows(table: Timetable, columns: Columns, crews: list[tuple[int, ...]]) -> None:
    problem = table.problem
    for task, own in enumerate(columns.of_task):
        if own:
            columns.rows.append((list(own), [1.0] * len(own), 1.0))
            for other in problem.needs[task]:
                if table.start[other] < 0:
                    precedence_rows(problem, columns, task, other, required=True)
    people_rows(problem, columns, crews)
