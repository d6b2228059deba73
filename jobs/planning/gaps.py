"""The first free time for a task that was left out of the plan."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from .compiled import day_compile
from .model import Assignment, Id, Plan, PlanningDay, PlanningTask, Window
from .previous_plan import place_locked
from .timetable import CrewTimetable


def first_gaps(
    day: PlanningDay,
    plan: Plan,
    wanted: Mapping[Id, Sequence[Window]],
    *,
    now: int | None = None,
    locked: Iterable[Assignment] = (),
) -> dict[Id, int]:
    """For each task of ``wanted`` its first free start in the windows given there.

    Nothing that is planned is moved, and each task is looked at as if it were the only one.
    Tasks that fit nowhere are not in the result. Raises ProblemError naming the task at fault.
    """
    locked = tuple(locked)
    present = {*(a.task for a in plan.assignments), *(a.task for a in locked)}
    possible = {t.id for t in day.tasks if t.id in wanted and present.issuperset(t.requires)}
    present |= possible
    tasks = tuple(
        _in_wanted_windows(task, wanted, present) for task in day.tasks if task.id in present
    )
    problem = day_compile(replace(day, tasks=tasks), now=now, locked=locked)
    table = CrewTimetable(problem)
    excluded = {a.task for a in locked} | set(wanted)
    place_locked(table, (*locked, *(a for a in plan.assignments if a.task not in excluded)))
    found = {}
    for task_id in (each for each in wanted if each in possible):
        task = problem.index[task_id]
        if table.start[task] < 0 and (free := table.free_starts(task) & table.crew_starts(task)):
            found[task_id] = problem.base + (free & -free).bit_length() - 1
    return found


def _in_wanted_windows(
    task: PlanningTask, wanted: Mapping[Id, Sequence[Window]], present: set[Id]
) -> PlanningTask:
    """The task in its wanted windows, without predecessors that are not present."""
    after = tuple(other for other in task.after if other in present)
    if task.id in wanted:
        return replace(task, windows=tuple(wanted[task.id]), due=None, after=after)
    return task if after == task.after else replace(task, after=after)
