"""How plans survive simulated days: tables and bars (``python -m jobs.planning survive``).

The bars are at a variation of 0.4. Two ways of working are compared in the same worlds; the
standard error is that of the paired difference. A day has 20 or 40 bikes; arrival safety is
``first``. Costs and minutes are those of ``random_days``.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import sqrt
from pathlib import Path
from statistics import fmean, stdev

from ..model import PlanningDay
from . import invented_crews, statements
from .kept_days import DayOutcome, KeptDay, days_asked, outcome, simulate
from .planned_crew import PlannedCrew
from .random_days import random_day
from .simulated_world import calm_world, random_world
from .simulator import SimulatedDay
from .survival_days import BAR_AT, safety_first, verdict

OFFERS_BAR, FIRST_BAR = 0.96, 0.5
CALM_SIZES, CALM_DAYS = (10, 20, 40), 4
SHORT_MORNING, MORNING_BIKES, MORNING_CREW, MORNING_LATE = 600, 30, (1, 2), 0.3


def run(
    days: int, sizes: Sequence[int], variations: Sequence[float], file: Path | None = None
) -> Iterator[str]:
    """The lines to print, as they come; simulated days are kept in ``file``."""
    yield from _calm()
    for variation in variations:
        yield from invented_crews.run(variation)
    for size in sizes:
        for variation in variations:
            found = simulate(days_asked([size], [variation], days), file)
            yield _offers(size, variation, found)
            without = [day for day in found if not day.which.offers]
            yield from statements.run(size, variation, without)
    yield from _short_mornings(days)


def _calm() -> Iterator[str]:
    """With minutes as planned and no events a day costs what its plan says."""
    for size in CALM_SIZES:
        stated, simulated = 0, 0.0
        for seed in range(1, CALM_DAYS + 1):
            day, crew = safety_first(random_day(size, seed)), PlannedCrew()
            simulated += SimulatedDay(day, calm_world(day), crew).run().cost()
            stated += crew.stated_cost
        yield (
            f"{size} bikes, {CALM_DAYS} days, no variation, no events: plans {stated}, "
            f"simulated {simulated:g}" + verdict(BAR_AT, simulated == stated, "the same")
        )


def _offers(size: int, variation: float, days: Sequence[KeptDay]) -> str:
    """The same crew without and with offers to who has nothing to do."""
    without = [day.outcome for day in days if not day.which.offers]
    offered = [day.outcome for day in days if day.which.offers]
    ratio, error = _ratio([o.cost for o in offered], [o.cost for o in without])
    more = sum(o.safety_missed for o in offered), sum(o.safety_missed for o in without)
    taken = fmean(each.taken for each in offered)
    plans = [fmean(each.plans for each in outcomes) for outcomes in (without, offered)]
    return (
        f"{size} bikes, variation {variation}, {len(without)} days: cost {_mean(without):.0f}, of "
        f"the morning's plans {fmean(day.planned for day in days):.0f}; with offers "
        f"{ratio:.3f} +-{error:.3f}; safety missed {more[1]} without, {more[0]} with; "
        f"{taken:.0f} taken a day; new plans {plans[0]:.0f} and {plans[1]:.0f}"
        + verdict(variation, ratio <= OFFERS_BAR and more[0] <= more[1], f"<= {OFFERS_BAR}")
    )


def _short_mornings(days: int) -> Iterator[str]:
    """Safety missed on mornings short of hands, with and without safety first."""
    missed = {True: 0, False: 0}
    for seed in range(1, days + 1):
        day = _morning(random_day(MORNING_BIKES, seed, crew=MORNING_CREW))
        for first in missed:
            asked = safety_first(day, first)
            world = random_world(asked, seed, BAR_AT, MORNING_LATE)
            missed[first] += outcome(SimulatedDay(asked, world, PlannedCrew()).run()).safety_missed
    met = missed[True] <= FIRST_BAR * missed[False]
    yield (
        f"short mornings, {MORNING_BIKES} bikes, {days} days: safety missed {missed[True]}, "
        f"{missed[False]} where it is not first" + verdict(BAR_AT, met, f"<= {FIRST_BAR} x")
    )


def _morning(day: PlanningDay) -> PlanningDay:
    """The work that begins before ten."""
    tasks = [t for t in day.tasks if t.windows and t.windows[0][0] < SHORT_MORNING]
    known = {task.id for task in tasks}
    kept = (replace(t, after=tuple(o for o in t.after if o in known)) for t in tasks)
    return replace(day, tasks=tuple(kept))


def _ratio(ours: Sequence[float], theirs: Sequence[float]) -> tuple[float, float]:
    """The ratio of the sums, and the standard error of the paired difference over the mean."""
    differences = [a - b for a, b in zip(ours, theirs, strict=True)]
    mean = fmean(theirs)
    error = stdev(differences) / sqrt(len(differences)) / mean if len(differences) > 1 else 0.0
    return fmean(ours) / mean, error


def _mean(outcomes: Sequence[DayOutcome]) -> float:
    return fmean(each.cost for each in outcomes)
