"""How many ``first`` tasks the planner misses, against the fewest that anybody could miss.

Small days are compared with the exact minimum. Large days are compared with a crew that does
nothing but the ``first`` tasks, by the best of the dispatching rules.
"""

from collections.abc import Callable, Iterable
from dataclasses import replace

from ..compiled import day_compile
from ..dispatch import DispatchRule, dispatch
from ..model import PlanningDay
from ..planner import QUICK_ITERATIONS, plan
from ..proof.fewest_first_missed import fewest_first_missed, first_and_required
from ..proof.intervals import interval_solver_available
from ..validate import validate
from .random_days import random_late_day

MAX_BIKES = 8  # of the days with an exact minimum
LARGE_DAY = 40  # bikes


def run(days: int, large_days: int) -> tuple[str, bool]:
    """The lines to print, and whether no plan misses more than it must."""
    lines, right = [], True
    if not interval_solver_available():
        lines.append("ortools is not installed: no exact minimum")
    else:
        small = [random_late_day(1 + seed % MAX_BIKES, seed) for seed in range(days)]
        more, missed, least = _compared(small, fewest_first_missed)
        lines.append(
            f"{days} random days of 1 to {MAX_BIKES} bikes: {missed} first tasks missed, the "
            f"exact minimum is {least}; more than the minimum on {more} days"
        )
        right = not more
    large = [random_late_day(LARGE_DAY, seed) for seed in range(large_days)]
    more, missed, alone = _compared(large, dispatched_alone)
    lines.append(
        f"{large_days} random days of {LARGE_DAY} bikes: {missed} first tasks missed, a dispatch "
        f"of these alone misses {alone}; more than that on {more} days"
    )
    return "\n".join(lines), right and not more


def planned_first_missed(day: PlanningDay, seed: int = 1) -> int:
    """How many the planner misses in the time of a page. Raises AssertionError if not valid."""
    made = plan(day, iterations=QUICK_ITERATIONS, seed=seed, reasons=0)
    if faults := validate(day, made):
        raise AssertionError(faults[0])
    return made.first_missed


def dispatched_alone(day: PlanningDay) -> int:
    """How many are missed by a crew that does nothing else, by the best dispatching rule."""
    kept = {task.id for task in first_and_required(day)}
    tasks = (
        replace(task, after=tuple(other for other in task.after if other in kept))
        for task in day.tasks
        if task.id in kept
    )
    problem = day_compile(replace(day, tasks=tuple(tasks)))
    return min(problem.rank(dispatch(problem, rule).cost)[0] for rule in DispatchRule)


def _compared(
    days: Iterable[PlanningDay], least_of: Callable[[PlanningDay], int]
) -> tuple[int, int, int]:
    """On how many days the plan misses more than ``least_of``, and the sums of both."""
    more = missed = least = 0
    for day in days:
        planned, fewest = planned_first_missed(day), least_of(day)
        more += planned > fewest
        missed += planned
        least += fewest
    return more, missed, least
