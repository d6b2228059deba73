"""The long improvement: a relaxation guides the search, then bands of the day are solved.

Every stage has its price in iterations, so that a budget buys the same plan every time;
what is not installed is not bought, and the search has its share.
"""

from dataclasses import replace

from .bands import BAND, band_improve, bands_available
from .relaxation import Solved, relax, solver_available
from .rounding import levels_of, round_all
from .search import Clock, Search, Wishes
from .timetable import Timetable

FIRST_SEARCH = 5000  # iterations before the relaxation is worth its price
RELAXATION = 8000  # its price, with the rounding
GUIDED = 4000  # iterations of search along its reduced costs
A_BAND = 4000  # the price of a band
ROUNDINGS = 15
HARDLY = 1e-6  # of a task in the relaxation: it has no place there
LEAST_SECONDS = 4.0  # with less on the clock the relaxation would not come to an end


def polishes(iterations: int, clock: Clock) -> bool:
    """Whether the budget, the clock and what is installed allow for it."""
    left = clock.left()
    enough = iterations >= FIRST_SEARCH + RELAXATION + GUIDED
    return enough and solver_available() and (left is None or left >= LEAST_SECONDS)


def polish(table: Timetable, wishes: Wishes, iterations: int, seed: int, clock: Clock) -> int:
    """Spend a budget; returns the iterations spent. The table is never left worse."""
    spent = Search(table, seed, wishes).run(FIRST_SEARCH, clock)
    fixed = [(task, table.start[task]) for task in wishes.held]
    left = clock.left()
    solved = relax(table.problem, seconds=None if left is None else left / 2, fixed=fixed)
    spent += RELAXATION
    guided = wishes
    if solved is not None:
        guided = replace(wishes, levels=levels_of(solved))
        round_all(table, guided, solved, ROUNDINGS, seed)
        spent += Search(table, seed + 1, guided).run(GUIDED, clock)
    if not bands_available():
        return spent + Search(table, seed + 2, guided).run(max(iterations - spent, 0), clock)
    return bands(table, guided, solved, iterations, spent, seed, clock)


def bands(
    table: Timetable,
    wishes: Wishes,
    solved: Solved | None,
    iterations: int,
    spent: int,
    seed: int,
    clock: Clock,
) -> int:
    """Band after band, each half over the next, until none gains.

    First where the plan costs most above what the relaxation has there.
    """
    firsts = range(0, table.problem.horizon, BAND // 2)
    fair = _fair(table, solved)
    idle, gained = set[int](), False
    while spent + A_BAND <= iterations and not clock.over():
        if len(idle) == len(firsts):
            if not gained:
                break
            idle, gained = set(), False
        excess = _excess(table, fair)
        first = max(
            (f for f in firsts if f not in idle),
            key=lambda first: (sum(excess[first : first + BAND]), -first),
        )
        cost = table.cost
        band_improve(table, wishes, first, seed + spent, clock.left())
        idle.add(first)
        if table.cost < cost:
            gained = True
            idle -= set(range(first - BAND + 1, first + BAND)) - {first}
        spent += A_BAND
    return spent


def _fair(table: Timetable, solved: Solved | None) -> list[tuple[int, float]]:
    """For each task the minute where the relaxation has it, and what it costs there."""
    problem = table.problem
    if solved is None:
        return [(_first(allowed), 0.0) for allowed in problem.allowed]
    found = []
    for task, of_task in enumerate(solved.columns.of_task):
        mass = sum(solved.x[c] for c in of_task)
        at = sum(solved.x[c] * solved.columns.start[c] for c in of_task)
        cost = problem.miss[task] + sum(solved.x[c] * solved.columns.cost[c] for c in of_task)
        place = int(at / mass) if mass > HARDLY else _first(problem.allowed[task])
        found.append((place, cost))
    return found


def _first(mask: int) -> int:
    return max((mask & -mask).bit_length() - 1, 0)


def _excess(table: Timetable, fair: list[tuple[int, float]]) -> list[float]:
    """Per minute of the day what its tasks cost above what would be fair."""
    problem = table.problem
    excess = [0.0] * problem.horizon
    for task, (minute, cost) in enumerate(fair):
        start = table.start[task]
        paid = problem.cost(task, start) if start >= 0 else problem.miss[task]
        excess[start if start >= 0 else minute] += paid - cost
    return excess
