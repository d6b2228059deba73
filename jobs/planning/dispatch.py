"""Plan as an unaided crew does: minute by minute, whoever is free takes the next task.

Three rules: first come first served, earliest deadline, and weighted slack, which is the
apparent-tardiness-cost rule of Vepsalainen and Morton (Management Science 33(8), 1987)
with slack counted to the last start.
"""

from collections.abc import Callable
from enum import StrEnum
from math import exp

from .compiled import Compiled, bits
from .timetable import Timetable

LOOK_AHEAD = 12  # minutes of slack over which a priority falls to 1/e; from the studies


class Rule(StrEnum):
    WEIGHTED_SLACK = "weighted slack"
    EARLIEST_DEADLINE = "earliest deadline"
    FIRST_COME = "first come"


def dispatch(problem: Compiled, rule: Rule, table: Timetable | None = None) -> Timetable:
    """Fill a timetable by one rule, keeping whatever is already in it."""
    table = table or Timetable(problem)
    priority = _RULES[rule](problem)
    opening = _by_opening(problem, table)
    waiting: set[int] = set()
    for minute in range(problem.horizon):
        waiting.update(opening.get(minute, ()))
        if waiting and any(free >> minute & 1 for free in table.crew_free):
            _minute(table, waiting, minute, priority)
    return table


Priority = Callable[[int, int], float]


def _by_opening(problem: Compiled, table: Timetable) -> dict[int, list[int]]:
    opening: dict[int, list[int]] = {}
    for task, allowed in enumerate(problem.allowed):
        if allowed and table.start[task] < 0:
            opening.setdefault((allowed & -allowed).bit_length() - 1, []).append(task)
    return opening


def _minute(table: Timetable, waiting: set[int], minute: int, priority: Priority) -> None:
    """Hand out work until nobody is free or nothing more can start in this minute."""
    problem = table.problem
    gone = [t for t in waiting if not problem.allowed[t] >> minute]
    waiting.difference_update(gone)
    order = sorted(waiting, key=lambda t: (-priority(t, minute), t))
    free = [bool(mask >> minute & 1) for mask in table.crew_free]
    for task in order:
        if not problem.allowed[task] >> minute & 1:
            continue
        if sum(free[person] for person in problem.able[task]) < problem.people[task]:
            continue
        crew = table.free_crew(task, minute)
        if crew and table.starts(task) >> minute & 1:
            table.place(task, minute, crew)
            waiting.discard(task)
            for person in crew:
                free[person] = False
            if not any(free):
                return


def _last_starts(problem: Compiled) -> list[int]:
    """The last minute each task may start, or the last it is not late, if that is sooner."""
    return [
        min(allowed.bit_length() - 1, late) if rate else allowed.bit_length() - 1
        for allowed, late, rate in zip(
            problem.allowed, problem.late_from, problem.late_rate, strict=True
        )
    ]


def _weighted_slack(problem: Compiled) -> Priority:
    last = _last_starts(problem)
    weight = [
        _own_and_waiting(problem, t) / (problem.minutes[t] * problem.people[t])
        for t in range(len(problem.tasks))
    ]
    return lambda t, minute: weight[t] * exp(-max(0, last[t] - minute) / LOOK_AHEAD)


def _own_and_waiting(problem: Compiled, task: int) -> float:
    """Missing it costs; where being late costs more per minute, that counts instead."""
    required = sum(problem.miss[other] for other in problem.needed_by[task])
    if problem.late_rate[task]:
        return problem.late_rate[task] * LOOK_AHEAD + required
    return problem.miss[task] + required


def _earliest_deadline(problem: Compiled) -> Priority:
    last = _last_starts(problem)
    return lambda t, minute: -last[t]


def _first_come(problem: Compiled) -> Priority:
    first = [bits(a & -a)[0] if a else 0 for a in problem.allowed]
    return lambda t, minute: -first[t]


_RULES: dict[Rule, Callable[[Compiled], Priority]] = {
    Rule.WEIGHTED_SLACK: _weighted_slack,
    Rule.EARLIEST_DEADLINE: _earliest_deadline,
    Rule.FIRST_COME: _first_come,
}
