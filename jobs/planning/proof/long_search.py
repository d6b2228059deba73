"""The long search: the relaxation guides a search, then intervals of the day are solved.

Each stage has a price in iterations, so that a budget gives the same plan every time. A stage
whose solver is not installed is left out, and the search gets its budget.
"""

from dataclasses import replace

from ..first_tasks import first_tasks_missed
from ..search import Preferences, Search, TimeLimit
from ..timetable import CrewTimetable
from .intervals import INTERVAL, improve_interval, interval_solver_available
from .relaxation import Solution, solve_relaxation, solver_available
from .rounding import round_solution, start_levels

FIRST_SEARCH = 5000  # iterations before the relaxation
RELAXATION_PRICE = 8000  # with the rounding
GUIDED_SEARCH = 4000  # iterations with the reduced costs as preferences
INTERVAL_PRICE = 4000  # of one interval
ROUNDINGS = 15  # thresholds
NEGLIGIBLE = 1e-6  # mass of a task that the relaxation leaves out
MIN_SECONDS = 4.0  # with less time the relaxation is not solved to the end


def can_search_long(iterations: int, time_limit: TimeLimit) -> bool:
    """Whether the budget, the time limit and the solvers installed allow it."""
    remaining = time_limit.remaining()
    enough = iterations >= FIRST_SEARCH + RELAXATION_PRICE + GUIDED_SEARCH
    return enough and solver_available() and (remaining is None or remaining >= MIN_SECONDS)


def long_search(
    table: CrewTimetable,
    preferences: Preferences,
    iterations: int,
    seed: int,
    time_limit: TimeLimit,
) -> int:
    """Improve the plan in the table; it never becomes worse. Returns the iterations spent."""
    spent = Search(table, seed, preferences).run(FIRST_SEARCH, time_limit)
    fixed = [(task, table.start[task]) for task in preferences.fixed]
    remaining = time_limit.remaining()
    solved = solve_relaxation(
        table.problem,
        seconds=None if remaining is None else remaining / 2,
        fixed=fixed,
        first_missed=first_tasks_missed(table),
    )
    spent += RELAXATION_PRICE
    guided = preferences
    if solved is not None:
        guided = replace(preferences, levels=start_levels(solved))
        round_solution(table, guided, solved, ROUNDINGS, seed)
        spent += Search(table, seed + 1, guided).run(GUIDED_SEARCH, time_limit)
    if not interval_solver_available():
        return spent + Search(table, seed + 2, guided).run(max(iterations - spent, 0), time_limit)
    return improve_intervals(table, guided, solved, iterations, spent, seed, time_limit)


def improve_intervals(
    table: CrewTimetable,
    preferences: Preferences,
    solved: Solution | None,
    iterations: int,
    spent: int,
    seed: int,
    time_limit: TimeLimit,
) -> int:
    """Solve overlapping intervals, each beginning in the middle of another, until none gains.

    The interval whose tasks cost most above the relaxation is solved first.
    """
    firsts = range(0, table.problem.horizon, INTERVAL // 2)
    relaxed = _relaxed_tasks(table, solved)
    idle, gained = set[int](), False
    while spent + INTERVAL_PRICE <= iterations and not time_limit.is_over():
        if len(idle) == len(firsts):
            if not gained:
                break
            idle, gained = set(), False
        excess = _excess_cost(table, relaxed)
        first = max(
            (f for f in firsts if f not in idle),
            key=lambda first: (sum(excess[first : first + INTERVAL]), -first),
        )
        cost = table.cost
        improve_interval(table, preferences, first, seed + spent, time_limit.remaining())
        idle.add(first)
        if table.cost < cost:
            gained = True
            idle -= set(range(first - INTERVAL + 1, first + INTERVAL)) - {first}
        spent += INTERVAL_PRICE
    return spent


def _relaxed_tasks(table: CrewTimetable, solved: Solution | None) -> list[tuple[int, float]]:
    """For each task its mean start in the relaxation, and its cost there."""
    problem = table.problem
    if solved is None:
        return [(_first(allowed), 0.0) for allowed in problem.allowed]
    found = []
    for task, of_task in enumerate(solved.columns.of_task):
        mass = sum(solved.x[c] for c in of_task)
        at = sum(solved.x[c] * solved.columns.start[c] for c in of_task)
        cost = problem.tasks[task].miss_cost + sum(
            solved.x[c] * solved.columns.cost[c] for c in of_task
        )
        place = int(at / mass) if mass > NEGLIGIBLE else _first(problem.allowed[task])
        found.append((place, cost))
    return found


def _first(mask: int) -> int:
    return max((mask & -mask).bit_length() - 1, 0)


def _excess_cost(table: CrewTimetable, relaxed: list[tuple[int, float]]) -> list[float]:
    """Per minute the cost of its tasks above their cost in the relaxation."""
    problem = table.problem
    excess = [0.0] * problem.horizon
    for task, (minute, cost) in enumerate(relaxed):
        start = table.start[task]
        paid = problem.cost(task, start) if start >= 0 else problem.miss_cost[task]
        excess[start if start >= 0 else minute] += paid - cost
    return excess
