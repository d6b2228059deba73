"""Check a plan against its day. This module shares no code with the search.

It is written from the definition alone: sets of minutes per person and per bike, no masks.
"""

from collections import defaultdict
from collections.abc import Iterable

from .model import Assignment, Id, Plan, PlanningDay


def validate(
    day: PlanningDay, plan: Plan, *, locked: Iterable[Assignment] = (), now: int | None = None
) -> list[str]:
    """Every fault of ``plan``, each naming its task; an empty list if there is none.

    What is ``locked`` was done or started: it must be in the plan unchanged, and may be outside
    its window. Nothing else may start before ``now``.
    """
    locked_by_task = {a.task: a for a in locked}
    faults = _unknown_ids(day, plan)
    if faults:
        return faults
    by_task = {a.task: a for a in plan.assignments}
    for task_id, was in locked_by_task.items():
        if by_task.get(task_id) != was:
            faults.append(f"task {task_id}: locked, but not in the plan as it was")
    faults += _assignment_faults(day, by_task, set(locked_by_task), now)
    faults += _overlap_faults(day, by_task, set(locked_by_task))
    faults += _order_faults(day, by_task, set(locked_by_task))
    return faults + _cost_faults(day, plan, by_task)


def _unknown_ids(day: PlanningDay, plan: Plan) -> list[str]:
    tasks, people = {t.id for t in day.tasks}, {m.id for m in day.crew}
    faults, seen = [], set()
    for a in plan.assignments:
        if a.task not in tasks:
            faults.append(f"task {a.task}: not in the problem")
        if a.task in seen:
            faults.append(f"task {a.task}: assigned twice")
        seen.add(a.task)
        faults += [f"task {a.task}: unknown person {p}" for p in a.crew if p not in people]
    named = [m.task for m in plan.missed] + [x.task for x in plan.late]
    faults += [f"task {task}: not in the problem" for task in named if task not in tasks]
    return faults


def _assignment_faults(
    day: PlanningDay, by_task: dict[Id, Assignment], locked: set[Id], now: int | None
) -> list[str]:
    """People, skills and windows of each assignment by itself."""
    faults = []
    skills = {m.id: m.skills for m in day.crew}
    for task in day.tasks:
        a = by_task.get(task.id)
        if a is None:
            continue
        if len(set(a.crew)) != task.people or len(a.crew) != task.people:
            faults.append(f"task {task.id}: needs {task.people} people, has {len(set(a.crew))}")
        if task.id in locked:
            continue
        faults += [
            f"task {task.id}: {person} has not the skill {task.skill!r}"
            for person in a.crew
            if task.skill not in skills[person]
        ]
        end = a.start + task.minutes
        if task.windows and not any(w[0] <= a.start and end <= w[1] for w in task.windows):
            faults.append(f"task {task.id}: {a.start}-{end} is outside its windows")
        if a.start < 0 or (now is not None and a.start < now):
            faults.append(f"task {task.id}: starts at {a.start}, which is over")
    return faults


def _overlap_faults(day: PlanningDay, by_task: dict[Id, Assignment], locked: set[Id]) -> list[str]:
    """One task at a time per person and per bike, and nobody while they are away."""
    faults = []
    taken: defaultdict[tuple[str, Id], dict[int, Id]] = defaultdict(dict)
    off = {m.id: {minute for w in m.off for minute in range(*w)} for m in day.crew}
    for task in day.tasks:
        a = by_task.get(task.id)
        if a is None:
            continue
        minutes = range(a.start, a.start + task.minutes)
        faults += [
            f"task {task.id}: {person} is away"
            for person in a.crew
            if task.id not in locked and not off[person].isdisjoint(minutes)
        ]
        for row in [("person", p) for p in a.crew] + [("bike", task.bike)]:
            for minute in minutes:
                other = taken[row].setdefault(minute, task.id)
                if other != task.id and not {other, task.id} <= locked:
                    faults.append(f"task {task.id}: {row[0]} {row[1]} is on task {other} then")
                    break
    return faults


def _order_faults(day: PlanningDay, by_task: dict[Id, Assignment], locked: set[Id]) -> list[str]:
    faults = []
    minutes = {task.id: task.minutes for task in day.tasks}
    for task in day.tasks:
        a = by_task.get(task.id)
        if a is None or task.id in locked:
            continue
        faults += [
            f"task {task.id}: requires task {other}, which is not done"
            for other in task.requires
            if other not in by_task
        ]
        faults += [
            f"task {task.id}: starts before task {other} has ended"
            for other in dict.fromkeys((*task.after, *task.requires))
            if other in by_task and by_task[other].start + minutes[other] > a.start
        ]
    return faults


def _cost_faults(day: PlanningDay, plan: Plan, by_task: dict[Id, Assignment]) -> list[str]:
    """What is missed or late is named in the plan, and both counts are right."""
    faults = []
    cost, first_missed, late = 0, 0, set()
    for task in day.tasks:
        a = by_task.get(task.id)
        if a is None:
            cost += task.miss_cost
            first_missed += task.first
        elif task.due is not None and a.start + task.minutes > task.due:
            over = task.late_cost_per_min * (a.start + task.minutes - task.due)
            cost += over
            if over:
                late.add(task.id)
    missed = {task.id for task in day.tasks} - set(by_task)
    for name, said, true in (
        ("missed", {m.task for m in plan.missed}, missed),
        ("late", {x.task for x in plan.late}, late),
    ):
        faults += [
            f"task {task_id}: {name} in the plan and in truth do not agree"
            for task_id in sorted(said ^ true, key=str)
        ]
    if first_missed != plan.first_missed:
        faults.append(
            f"the plan says it misses {plan.first_missed} first tasks; it misses {first_missed}"
        )
    if cost != plan.cost:
        faults.append(f"the plan says it costs {plan.cost}; it costs {cost}")
    return faults
