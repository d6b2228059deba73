"""The previous plan, to which a new plan should stay close.

Closeness is counted relative to the outing: where the window of a task has moved, the start
that the previous plan had for it is moved by as much. So a delay alone changes nothing.
"""

from collections.abc import Iterable, Mapping

from .compiled import CompiledDay, span
from .model import Assignment, Id, Plan, PlanningDay, PlanningTask, ProblemError
from .search import MOVE_TOLERANCE_MIN, Preferences, Search
from .timetable import CrewTimetable, TaskSlot


def window_shifts(
    day: PlanningDay, previous_input: PlanningDay | None, previous: Plan
) -> dict[Id, int]:
    """For each task, by how many minutes its window has moved since the previous plan."""
    if previous_input is None:
        return {}
    was = {task.id: task for task in previous_input.tasks}
    now = {task.id: task for task in day.tasks}
    return {
        a.task: _shift(was[a.task], now[a.task], a.start)
        for a in previous.assignments
        if a.task in was and a.task in now
    }


def _shift(was: PlanningTask, now: PlanningTask, start: int) -> int:
    for i, (first, last) in enumerate(was.windows):
        if first <= start and start + was.minutes <= last and i < len(now.windows):
            return now.windows[i][0] - first
    return 0


def started_assignments(
    day: PlanningDay, previous: Plan, now: int | None
) -> tuple[Assignment, ...]:
    """What the previous plan started before ``now``, if its task and people still exist."""
    if now is None:
        return ()
    tasks = {task.id for task in day.tasks}
    people = {member.id for member in day.crew}
    return tuple(
        a
        for a in previous.assignments
        if a.start < now and a.task in tasks and people.issuperset(a.crew)
    )


def place_locked(table: CrewTimetable, locked: Iterable[Assignment]) -> frozenset[int]:
    """Place the locked assignments as they are. Returns their task numbers.

    Raises ProblemError for one that names an unknown person or no time of the day.
    """
    problem, fixed = table.problem, set()
    for a in locked:
        task = problem.index[a.task]
        if task in fixed:
            raise ProblemError(f"task {a.task}: locked twice")
        if a.start < problem.base or not a.crew:
            raise ProblemError(f"task {a.task}: locked without a start of its day or a person")
        unknown = [p for p in a.crew if p not in problem.crew_index]
        if unknown:
            raise ProblemError(f"task {a.task}: locked to an unknown person, {unknown[0]}")
        crew = tuple(problem.crew_index[p] for p in a.crew)
        table.place(task, a.start - problem.base, crew)
        fixed.add(task)
    return frozenset(fixed)


def slots_of_previous(
    problem: CompiledDay, previous: Plan, shifts: Mapping[Id, int]
) -> dict[int, TaskSlot]:
    """The slot that the previous plan has for each task, moved with its outing."""
    slots = {}
    for a in previous.assignments:
        if a.task in problem.index and all(p in problem.crew_index for p in a.crew):
            start = a.start + shifts.get(a.task, 0) - problem.base
            slots[problem.index[a.task]] = (start, tuple(problem.crew_index[p] for p in a.crew))
    return slots


def prefer_previous(previous_slots: Mapping[int, TaskSlot], fixed: frozenset[int]) -> Preferences:
    """Prefer the start of the previous plan, then one within five minutes, then any."""
    levels: dict[int, tuple[int, ...]] = {}
    tolerance = MOVE_TOLERANCE_MIN
    for task, (start, _) in previous_slots.items():
        at = 1 << start if start >= 0 else 0
        levels[task] = (at, span(max(start - tolerance, 0), max(start, 0) + tolerance + 1))
    return Preferences(levels=levels, fixed=fixed, previous_slots=dict(previous_slots))


def insert_previous(table: CrewTimetable, preferences: Preferences) -> frozenset[int]:
    """Insert the tasks in the order of the previous plan, as near to it as possible.

    Returns the tasks that must not be moved: the next one of each person, where it could
    be placed as before.
    """
    search = Search(table, 0, preferences)
    order = sorted(
        (task for task in preferences.previous_slots if table.start[task] < 0),
        key=lambda t: (preferences.previous_slots[t][0], t),
    )
    waiting = [task for task in order if not search.insert_as_before(task)]
    for task in waiting:
        search.insert(task)
    stay = _next_of_each(table, preferences)
    search.insert_missed()  # what the previous plan did not know, or had no room for
    return stay


def _next_of_each(table: CrewTimetable, preferences: Preferences) -> frozenset[int]:
    """The first task of each person that is not locked, if its slot is unchanged."""
    stay = set()
    for person in range(len(table.task_at)):
        mine = [
            (table.start[t], t)
            for t in dict.fromkeys(table.task_at[person])
            if t >= 0 and t not in preferences.fixed
        ]
        if mine:
            start, task = min(mine)
            if preferences.previous_slots.get(task) == (start, table.crew[task]):
                stay.add(task)
    return frozenset(stay)


def tasks_moved(
    day: PlanningDay, plan: Plan, previous: Plan, *, previous_input: PlanningDay | None = None
) -> tuple[Id, ...]:
    """Tasks done in both plans, but more than 5 minutes apart or by other people.

    With ``previous_input``, the day that ``previous`` was made for, minutes are counted relative
    to the outing.
    """
    shifts = window_shifts(day, previous_input, previous)
    was = {a.task: a for a in previous.assignments}
    return tuple(
        a.task
        for a in plan.assignments
        if a.task in was
        and (
            abs(a.start - was[a.task].start - shifts.get(a.task, 0)) > MOVE_TOLERANCE_MIN
            or set(a.crew) != set(was[a.task].crew)
        )
    )
