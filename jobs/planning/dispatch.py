"""Dispatching rules: a plan made minute by minute, as a crew without a planner works.

Whoever is free takes the next task by the rule. There are three rules: first come first
served, earliest deadline, and weighted slack, the apparent-tardiness-cost rule of Vepsalainen
and Morton (Management Science 33(8), 1987) with slack counted to the last start.
"""

from collections.abc import Callable
from enum import StrEnum
from math import exp

from .compiled import CompiledDay, bits
from .timetable import CrewTimetable

LOOK_AHEAD = 12  # minutes of slack in which a priority falls to 1/e; as in that paper


class DispatchRule(StrEnum):
    WEIGHTED_SLACK = "weighted slack"
    EARLIEST_DEADLINE = "earliest deadline"
    FIRST_COME = "first come"


def dispatch(
    problem: CompiledDay, rule: DispatchRule, table: CrewTimetable | None = None
) -> CrewTimetable:
    """Fill a timetable by one rule. What is in it already is kept."""
    table = table or CrewTimetable(problem)
    priority = _RULES[rule](problem)
    opening = _tasks_by_opening(problem, table)
    waiting: set[int] = set()
    for minute in range(problem.horizon):
        waiting.update(opening.get(minute, ()))
        if waiting and any(free >> minute & 1 for free in table.crew_free):
            _start_tasks(table, waiting, minute, priority)
    return table


Priority = Callable[[int, int], float]


def _tasks_by_opening(problem: CompiledDay, table: CrewTimetable) -> dict[int, list[int]]:
    opening: dict[int, list[int]] = {}
    for task, allowed in enumerate(problem.allowed):
        if allowed and table.start[task] < 0:
            opening.setdefault((allowed & -allowed).bit_length() - 1, []).append(task)
    return opening


def _start_tasks(table: CrewTimetable, waiting: set[int], minute: int, priority: Priority) -> None:
    """Start tasks until nobody is free or nothing more can start in this minute."""
    problem = table.problem
    over = [t for t in waiting if not problem.allowed[t] >> minute]
    waiting.difference_update(over)
    order = sorted(waiting, key=lambda t: (-priority(t, minute), t))
    free = [bool(mask >> minute & 1) for mask in table.crew_free]
    for task in order:
        if not problem.allowed[task] >> minute & 1:
            continue
        if sum(free[person] for person in problem.able[task]) < problem.people[task]:
            continue
        crew = table.free_crew(task, minute)
        if crew and table.free_starts(task) >> minute & 1:
            table.place(task, minute, crew)
            waiting.discard(task)
            for person in crew:
                free[person] = False
            if not any(free):
                return


def _last_starts(problem: CompiledDay) -> list[int]:
    """For each task the last possible start, or the last that is not late if that is earlier."""
    return [
        min(allowed.bit_length() - 1, late) if rate else allowed.bit_length() - 1
        for allowed, late, rate in zip(
            problem.allowed, problem.late_from, problem.late_rate, strict=True
        )
    ]


def _weighted_slack(problem: CompiledDay) -> Priority:
    last = _last_starts(problem)
    weight = [
        _weight(problem, t) / (problem.minutes[t] * problem.people[t])
        for t in range(len(problem.tasks))
    ]
    return lambda t, minute: weight[t] * exp(-max(0, last[t] - minute) / LOOK_AHEAD)


def _weight(problem: CompiledDay, task: int) -> float:
    """The miss cost with that of what requires it; for a task with a late cost, the late cost."""
    required = sum(problem.miss_cost[other] for other in problem.required_by[task])
    if problem.late_rate[task]:
        return problem.late_rate[task] * LOOK_AHEAD + required
    return problem.miss_cost[task] + required


def _earliest_deadline(problem: CompiledDay) -> Priority:
    last = _last_starts(problem)
    return lambda t, minute: -last[t]


def _first_come(problem: CompiledDay) -> Priority:
    first = [bits(a & -a)[0] if a else 0 for a in problem.allowed]
    return lambda t, minute: -first[t]


_RULES: dict[DispatchRule, Callable[[CompiledDay], Priority]] = {
    DispatchRule.WEIGHTED_SLACK: _weighted_slack,
    DispatchRule.EARLIEST_DEADLINE: _earliest_deadline,
    DispatchRule.FIRST_COME: _first_come,
}
