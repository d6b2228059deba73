"""The fewest ``first`` tasks that any plan of a day misses, by CP-SAT.

It is written from the definition, with an optional interval for each task and each set of
people who could do it, and shares no code with the planner, which is checked against it.
``ortools`` is imported when first needed.
"""

from collections import defaultdict
from collections.abc import Iterable
from itertools import combinations
from typing import Any

from ..model import Id, PlanningDay, PlanningTask


def fewest_first_missed(day: PlanningDay) -> int:
    """The fewest ``first`` tasks that any plan misses. Needs ``ortools``."""
    from ortools.sat.python import cp_model

    tasks = first_and_required(day)
    model = cp_model.CpModel()
    end = max((w[1] for task in tasks for w in task.windows), default=0)
    busy: defaultdict[tuple[str, Id], list[Any]] = defaultdict(list)
    for member in day.crew:
        for first, last in member.off:
            away = model.new_fixed_size_interval_var(first, max(last - first, 0), "")
            busy["person", member.id].append(away)
    done: dict[Id, Any] = {}
    start: dict[Id, Any] = {}
    for task in tasks:
        done[task.id], start[task.id] = _decide(model, day, task, end, busy)
    for intervals in busy.values():
        model.add_no_overlap(intervals)
    for task in tasks:
        _precede(model, tasks, task, done, start)
    of_first = [done[task.id] for task in tasks if task.first]
    model.maximize(sum(of_first))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    if solver.solve(model) != cp_model.OPTIMAL:
        raise AssertionError("the exact minimum was not found")
    return len(of_first) - round(solver.objective_value)


def _decide(
    model: Any,
    day: PlanningDay,
    task: PlanningTask,
    end: int,
    busy: defaultdict[tuple[str, Id], list[Any]],
) -> tuple[Any, Any]:
    """Whether the task is done, and its start: an interval for each set of people."""
    from ortools.sat.python import cp_model

    windows = [(a, b - task.minutes) for a, b in task.windows] or [(0, end - task.minutes)]
    start = model.new_int_var_from_domain(cp_model.Domain.from_intervals(windows), "")
    able = [member.id for member in day.crew if task.skill in member.skills]
    ways = []
    for people in combinations(able, task.people):
        chosen = model.new_bool_var("")
        interval = model.new_optional_fixed_size_interval_var(start, task.minutes, chosen, "")
        for person in people:
            busy["person", person].append(interval)
        busy["bike", task.bike].append(interval)
        ways.append(chosen)
    done = model.new_bool_var("")
    model.add(sum(ways) == done)
    return done, start


def _precede(
    model: Any,
    tasks: Iterable[PlanningTask],
    task: PlanningTask,
    done: dict[Id, Any],
    start: dict[Id, Any],
) -> None:
    minutes = {each.id: each.minutes for each in tasks}
    for other in dict.fromkeys((*task.after, *task.requires)):
        if other in done:
            both = [done[task.id], done[other]]
            after = model.add(start[other] + minutes[other] <= start[task.id])
            after.only_enforce_if(both)
    for other in task.requires:
        model.add_implication(done[task.id], done[other])


def first_and_required(day: PlanningDay) -> list[PlanningTask]:
    """The ``first`` tasks and what has to be done before them; no other can matter for these."""
    by_id = {task.id: task for task in day.tasks}
    wanted = [task.id for task in day.tasks if task.first]
    for task_id in wanted:
        wanted += [other for other in by_id[task_id].requires if other not in wanted]
    return [by_id[task_id] for task_id in wanted]
