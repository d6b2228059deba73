"""Refuse a day that cannot be planned. The error names the task or person at fault."""

from collections import Counter
from collections.abc import Iterable

from .model import CrewMember, Id, PlanningDay, PlanningTask, ProblemError


def day_check(day: PlanningDay) -> None:
    """Raise ProblemError for the first fault found in ``day``."""
    _unique("person", (member.id for member in day.crew))
    _unique("task", (task.id for task in day.tasks))
    for member in day.crew:
        _member_check(member)
    known = {task.id for task in day.tasks}
    skills = Counter(skill for member in day.crew for skill in member.skills)
    for task in day.tasks:
        _task_check(task, known)
        _skill_check(task, skills)
    _no_cycle(day)


def _unique(what: str, ids: Iterable[Id]) -> None:
    seen: set[str] = set()
    for each in ids:
        if str(each) in seen:
            raise ProblemError(f"{what} {each}: the id is there twice")
        seen.add(str(each))


def _member_check(member: CrewMember) -> None:
    for start, end in member.off:
        if end < start:
            raise ProblemError(f"person {member.id}: off time {start}-{end} ends before it starts")


def _task_check(task: PlanningTask, known: set[Id]) -> None:
    name = f"task {task.id}"
    if task.minutes < 1:
        raise ProblemError(f"{name}: takes {task.minutes} minutes; at least 1 is needed")
    if task.people < 1:
        raise ProblemError(f"{name}: needs {task.people} people; at least 1 is needed")
    if task.miss_cost < 0 or task.late_cost_per_min < 0:
        raise ProblemError(f"{name}: a cost is below 0")
    for start, end in task.windows:
        if start < 0:
            raise ProblemError(f"{name}: window {start}-{end} starts before midnight")
        if end - start < task.minutes:
            raise ProblemError(
                f"{name}: window {start}-{end} is shorter than its {task.minutes} minutes"
            )
    for field in ("after", "requires"):
        for other in getattr(task, field):
            if other not in known:
                raise ProblemError(f"{name}: {field} names an unknown task, {other}")


def _skill_check(task: PlanningTask, skills: Counter[str]) -> None:
    able = skills[task.skill]
    if not able:
        raise ProblemError(f"task {task.id}: nobody has the skill {task.skill!r}")
    if able < task.people:
        raise ProblemError(
            f"task {task.id}: needs {task.people} people with the skill {task.skill!r}, "
            f"there are {able}"
        )


def _no_cycle(day: PlanningDay) -> None:
    """No task waits for itself: a depth-first search over ``after`` and ``requires``."""
    before = {task.id: (*task.after, *task.requires) for task in day.tasks}
    done: set[Id] = set()
    for root in before:
        path: dict[Id, None] = {}
        stack = [(root, False)]
        while stack:
            task_id, day_after_departure = stack.pop()
            if day_after_departure:
                del path[task_id]
                done.add(task_id)
            elif task_id in path:
                cycle = [*list(path)[list(path).index(task_id) :], task_id]
                raise ProblemError(f"task {task_id}: waits for itself: {_as_text(cycle)}")
            elif task_id not in done:
                path[task_id] = None
                stack.append((task_id, True))
                stack.extend((other, False) for other in before[task_id])


def _as_text(cycle: list[Id]) -> str:
    return " after ".join(str(each) for each in cycle)
