"""The plan before, as something to stay close to.

Closeness is relative to the outing: where a task's window has moved, the place the plan
before had for it moves along, so that a delay by itself moves nothing.
"""

from collections.abc import Iterable, Mapping

from .compiled import Compiled, span
from .model import Assignment, Day, Id, Plan, ProblemError, Task
from .search import NEAR, Search, Wishes
from .timetable import Slot, Timetable


def window_shifts(day: Day, before: Day | None, previous: Plan) -> dict[Id, int]:
    """By how many minutes the window moved in which the plan before did each task."""
    if before is None:
        return {}
    was = {task.id: task for task in before.tasks}
    now = {task.id: task for task in day.tasks}
    return {
        a.task: _shift(was[a.task], now[a.task], a.start)
        for a in previous.assignments
        if a.task in was and a.task in now
    }


def _shift(was: Task, now: Task, start: int) -> int:
    for i, (first, last) in enumerate(was.windows):
        if first <= start and start + was.minutes <= last and i < len(now.windows):
            return now.windows[i][0] - first
    return 0


def begun(day: Day, previous: Plan, now: int | None) -> tuple[Assignment, ...]:
    """What the plan before began before ``now``, where task and people still exist."""
    if now is None:
        return ()
    tasks = {task.id for task in day.tasks}
    people = {member.id for member in day.crew}
    return tuple(
        a
        for a in previous.assignments
        if a.start < now and a.task in tasks and people.issuperset(a.crew)
    )


def locked_place(table: Timetable, locked: Iterable[Assignment]) -> frozenset[int]:
    """Put what is locked where it is, whatever else is there. Returns the task numbers."""
    problem, held = table.problem, set()
    for a in locked:
        task = problem.index[a.task]
        if task in held:
            raise ProblemError(f"task {a.task}: locked twice")
        if a.start < problem.base or not a.crew:
            raise ProblemError(f"task {a.task}: locked without a start of its day or a person")
        unknown = [p for p in a.crew if p not in problem.crew_index]
        if unknown:
            raise ProblemError(f"task {a.task}: locked to an unknown person, {unknown[0]}")
        crew = tuple(problem.crew_index[p] for p in a.crew)
        table.place(task, a.start - problem.base, crew)
        held.add(task)
    return frozenset(held)


def reference_slots(problem: Compiled, previous: Plan, shifts: Mapping[Id, int]) -> dict[int, Slot]:
    """Where the plan before has each task, moved along with its outing."""
    slots = {}
    for a in previous.assignments:
        if a.task in problem.index and all(p in problem.crew_index for p in a.crew):
            start = a.start + shifts.get(a.task, 0) - problem.base
            slots[problem.index[a.task]] = (start, tuple(problem.crew_index[p] for p in a.crew))
    return slots


def reference_wishes(
    problem: Compiled, reference: Mapping[int, Slot], held: frozenset[int]
) -> Wishes:
    """Prefer the same start, then one within five minutes, then any."""
    levels: dict[int, tuple[int, ...]] = {}
    for task, (start, _) in reference.items():
        at = 1 << start if start >= 0 else 0
        levels[task] = (at, span(max(start - NEAR, 0), max(start, 0) + NEAR + 1))
    return Wishes(levels=levels, held=held, reference=dict(reference))


def reference_insert(table: Timetable, wishes: Wishes) -> frozenset[int]:
    """Put tasks back in the order of the plan before, as near to it as they go.

    Returns the tasks that stay: each person's next one, where it could be kept.
    """
    search = Search(table, 0, wishes)
    order = sorted(
        (task for task in wishes.reference if table.start[task] < 0),
        key=lambda t: (wishes.reference[t][0], t),
    )
    waiting = [task for task in order if not search.keep(task)]
    for task in waiting:
        search.insert(task)
    stay = _next_of_each(table, wishes)
    search.fill()  # what the plan before did not know, or had no room for
    return stay


def _next_of_each(table: Timetable, wishes: Wishes) -> frozenset[int]:
    """The first task of each person that is not locked, if it is where it was."""
    stay = set()
    for person in range(len(table.lane)):
        mine = [
            (table.start[t], t)
            for t in dict.fromkeys(table.lane[person])
            if t >= 0 and t not in wishes.held
        ]
        if mine:
            start, task = min(mine)
            if wishes.reference.get(task) == (start, table.crew[task]):
                stay.add(task)
    return frozenset(stay)


def tasks_moved(
    day: Day, plan: Plan, previous: Plan, *, before: Day | None = None
) -> tuple[Id, ...]:
    """Tasks done in both plans, but more than 5 minutes apart or by other people.

    Minutes are counted relative to the outing, if ``before``, the day as it was, is given.
    """
    shifts = window_shifts(day, before, previous)
    was = {a.task: a for a in previous.assignments}
    return tuple(
        a.task
        for a in plan.assignments
        if a.task in was
        and (
            abs(a.start - was[a.task].start - shifts.get(a.task, 0)) > NEAR
            or set(a.crew) != set(was[a.task].crew)
        )
    )
