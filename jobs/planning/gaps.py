"""Where a task that does not fit would fit: the first free place among other times."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from .compiled import day_compile
from .model import Assignment, Day, Id, Plan, Task, Window
from .reference import locked_place
from .timetable import Timetable


def first_gaps(
    day: Day,
    made: Plan,
    wanted: Mapping[Id, Sequence[Window]],
    *,
    now: int | None = None,
    locked: Iterable[Assignment] = (),
) -> dict[Id, int]:
    """For each task left out of a plan, its first start in the windows wanted instead.

    Nothing that is planned moves for it; each is asked for by itself. Tasks that fit
    nowhere are not in the answer. Raises ProblemError naming the task at fault.
    """
    locked = tuple(locked)
    there = {*(a.task for a in made.assignments), *(a.task for a in locked)}
    possible = {t.id for t in day.tasks if t.id in wanted and there.issuperset(t.requires)}
    there |= possible
    tasks = tuple(_alone(task, wanted, there) for task in day.tasks if task.id in there)
    problem = day_compile(replace(day, tasks=tasks), now=now, locked=locked)
    table = Timetable(problem)
    held = {a.task for a in locked} | set(wanted)
    locked_place(table, (*locked, *(a for a in made.assignments if a.task not in held)))
    found = {}
    for task_id in (each for each in wanted if each in possible):
        task = problem.index[task_id]
        if table.start[task] < 0 and (free := table.starts(task) & table.crew_starts(task)):
            found[task_id] = problem.base + (free & -free).bit_length() - 1
    return found


def _alone(task: Task, wanted: Mapping[Id, Sequence[Window]], there: set[Id]) -> Task:
    """The task in its wanted windows, and waiting only for what is there."""
    after = tuple(other for other in task.after if other in there)
    if task.id in wanted:
        return replace(task, windows=tuple(wanted[task.id]), due=None, after=after)
    return task if after == task.after else replace(task, after=after)
