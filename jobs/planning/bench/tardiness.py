"""Published single-machine instances, planned as the day of one person.

OR-Library, total weighted tardiness of 40 jobs (J. E. Beasley, "OR-Library: distributing
test problems by electronic mail", Journal of the Operational Research Society 41(11), 1990):
``wt40.txt`` has 40 processing times, 40 weights and 40 due dates per instance, ``wtopt40.txt``
the best known values. The files are not part of this project.
"""

import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from statistics import mean

from ..model import CrewMember, PlanningDay, PlanningTask, ProblemError
from ..planner import plan

JOBS = 40
DESCENTS = 200
MISS_COST = 10**6  # above any possible cost of lateness
MAX_NAMED = 8  # instances above their best known value that are printed


def tardiness_day(numbers: Sequence[int]) -> PlanningDay:
    """One instance as a day: one person, no windows. A minute is the unit of time."""
    minutes, weights, dues = (numbers[i * JOBS : (i + 1) * JOBS] for i in range(3))
    tasks = tuple(
        PlanningTask(
            id=i,
            bike=i,
            minutes=minutes[i],
            skill="any",
            due=dues[i],
            late_cost_per_min=weights[i],
            miss_cost=MISS_COST,
        )
        for i in range(JOBS)
    )
    return PlanningDay((CrewMember("one", frozenset({"any"})),), tasks)


def run(folder: Path) -> tuple[str, bool]:
    """Solve every instance of a folder.

    Returns the lines to print, and whether no cost is below its published value. A correct
    planner cannot be below.
    """
    below, above, took = [], [], []
    for number, (numbers, best_known) in enumerate(_instances(folder), start=1):
        begin = time.perf_counter()
        cost = plan(tardiness_day(numbers), iterations=DESCENTS).cost
        took.append(time.perf_counter() - begin)
        if cost < best_known:
            below.append(f"{number}: {cost} < {best_known}")
        elif cost > best_known:
            above.append(f"{number}: {cost} > {best_known}")
    count = len(took)
    lines = [
        f"{count - len(below) - len(above)} of {count} best known values, "
        f"mean {mean(took):.2f} s, worst {max(took):.2f} s",
        *(f"not reached, instance {each}" for each in above[:MAX_NAMED]),
        *(f"BELOW A PUBLISHED VALUE, instance {each}" for each in below),
    ]
    return "\n".join(lines), not below


def _instances(folder: Path) -> Iterator[tuple[list[int], int]]:
    """Each instance's 120 numbers and its best known value."""
    numbers, best_known = _numbers(folder / "wt40.txt"), _numbers(folder / "wtopt40.txt")
    size = 3 * JOBS
    if not best_known or len(numbers) != size * len(best_known):
        raise ProblemError(
            f"{folder}: {len(numbers)} numbers are not {len(best_known)} instances of {size}"
        )
    for number, best in enumerate(best_known):
        yield numbers[number * size : (number + 1) * size], best


def _numbers(path: Path) -> list[int]:
    try:
        return [int(word) for word in path.read_text(encoding="utf-8").split()]
    except OSError as error:
        raise ProblemError(f"{path}: {error.strerror}") from None
    except ValueError as error:
        raise ProblemError(f"{path}: {error}") from None
