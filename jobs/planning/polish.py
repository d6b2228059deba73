"""The long improvement: a relaxation guides the search, then bands of the day are solved.

Every stage has its price in iterations, so that a budget buys the same plan every time;
what is not installed is not bought, and the search has its share.
"""

from dataclasses import replace

from .bands import BAND, band_improve, bands_available
from .relaxation import relax, solver_available
from .rounding import levels_of, round_all
from .search import Clock, Search, Wishes
from .timetable import Timetable

FIRST_SEARCH = 5000  # iterations before the relaxation is worth its price
RELAXATION = 8000  # its price, with the rounding
GUIDED = 4000  # iterations of search along its reduced costs
A_BAND = 4000  # the price of a band
ROUNDINGS = 15
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
    return _bands(table, guided, iterations, spent, seed, clock)


def _bands(
    table: Timetable, wishes: Wishes, iterations: int, spent: int, seed: int, clock: Clock
) -> int:
    """Band after band over the day, the next pass half a band on, until nothing gains."""
    turn, gained = 0, True
    while gained or turn < 2:
        gained = False
        for first in range(turn % 2 * BAND // 2, table.problem.horizon, BAND):
            if spent + A_BAND > iterations or clock.over():
                return spent
            cost = table.cost
            band_improve(table, wishes, first, seed + turn, clock.left())
            gained |= table.cost < cost
            spent += A_BAND
        turn += 1
    return spent
