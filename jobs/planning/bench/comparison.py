"""The bench: every rule and budget on random days, with bounds, replanning and capacity.

The times are of this machine: compare only figures of the same run. ``--seconds`` are wall-clock
time, so a busy machine searches less in them; replanning and capacity are in processor time.
"""

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from statistics import mean, quantiles
from typing import TypeVar

from ..capacity import bike_like, capacity
from ..compiled import day_compile
from ..dispatch import DispatchRule, dispatch
from ..model import Plan, PlanningDay
from ..planner import QUICK_ITERATIONS, plan, replan
from ..previous_plan import started_assignments, tasks_moved
from ..proof.bounds import Bound, bound
from ..proof.long_search import MIN_SECONDS
from ..proof.rest_of_day import best_rest_of_day
from ..validate import validate
from .random_days import DELAY, DELAY_AT, TASK_KINDS, delayed, random_day

REASONS = 60  # as many as a page shows
SEARCH_WITHOUT_END = 10**7
SPARE = 0.95  # of the time, so that the limit is not reached

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Budgets:
    """Seconds per day: for each plan compared, for the integer bound, for the rest of the day."""

    plans: Sequence[float]
    mip: float | None = None
    rest: float | None = None


@dataclass(slots=True)
class Figures:
    """The figures of all days with so many bikes."""

    bikes: int
    gap: dict[str, list[float]] = field(default_factory=dict)
    mip_gap: dict[str, list[float]] = field(default_factory=dict)
    proven: int = 0
    to_deadline: dict[str, list[float]] = field(default_factory=dict)
    replan_ms: list[float] = field(default_factory=list)
    moved: list[float] = field(default_factory=list)
    replan_gap: list[float] = field(default_factory=list)
    rest_gap: list[float] = field(default_factory=list)
    rest_moved: list[float] = field(default_factory=list)
    rest_proven: int = 0
    capacity_ms: list[float] = field(default_factory=list)

    def add_cost(self, method: str, cost: int, lower: Bound, deadline: int) -> None:
        if lower.lp:
            self.gap.setdefault(method, []).append(cost / lower.lp - 1)
        if lower.mip and lower.best:
            self.mip_gap.setdefault(method, []).append(cost / lower.best - 1)
        if deadline:
            self.to_deadline.setdefault(method, []).append(cost / deadline)


def run(sizes: Sequence[int], days: int, rule_days: int, budgets: Budgets) -> str:
    """Run the bench and return its table."""
    lines = [_miss_costs(), ""]
    for bikes in sizes:
        figures = Figures(bikes)
        for seed in range(1, days + 1):
            _one_day(figures, random_day(bikes, seed), seed, budgets)
        lines += _table(figures, days)
    if rule_days:
        lines.append(_against_rules(rule_days))
    return "\n".join(lines)


def _miss_costs() -> str:
    return "cost of missing: " + ", ".join(f"{k} {r.miss_cost}" for k, r in TASK_KINDS.items())


def _one_day(figures: Figures, day: PlanningDay, seed: int, budgets: Budgets) -> None:
    lower = bound(day)
    if budgets.mip:
        integer = bound(day, mip=True, seconds=budgets.mip)
        lower = replace(lower, mip=integer.mip, proven=integer.proven)
        figures.proven += integer.proven
    problem = day_compile(day)
    costs = {str(rule): dispatch(problem, rule).cost for rule in DispatchRule}
    result = plan(day, iterations=QUICK_ITERATIONS, seed=seed)
    costs[f"{QUICK_ITERATIONS} iterations"] = result.cost
    for limit in budgets.plans:
        result = plan(day, iterations=_iterations_for(day, limit), seconds=limit, seed=seed)
        costs[f"{limit:g} s"] = _validated(day, result).cost
    for method, cost in costs.items():
        figures.add_cost(method, cost, lower, costs[DispatchRule.EARLIEST_DEADLINE])
    _replanning(figures, day, result, seed, budgets.rest)
    bike = bike_like(day, day.tasks[0].bike)
    took, _ = _timed(lambda: capacity(day, bike, planned=result, seed=seed))
    figures.capacity_ms.append(took)


def _replanning(
    figures: Figures, day: PlanningDay, result: Plan, seed: int, seconds: float | None
) -> None:
    after = delayed(day, DELAY_AT, DELAY)
    took, again = _timed(
        lambda: replan(after, result, previous_input=day, now=DELAY_AT, seed=seed, reasons=REASONS)
    )
    locked = started_assignments(after, result, DELAY_AT)
    if faults := validate(after, again, locked=locked, now=DELAY_AT):
        raise AssertionError(faults[0])
    figures.replan_ms.append(took)
    moved = tasks_moved(after, again, result, previous_input=day)
    figures.moved.append(len(moved) / max(len(again.assignments), 1))
    lower = bound(after, now=DELAY_AT, locked=locked).lp
    if lower:
        figures.replan_gap.append(again.cost / lower - 1)
    if seconds:
        rest = best_rest_of_day(
            after, again, now=DELAY_AT, locked=locked, seed=seed, seconds=seconds
        )
        if faults := validate(after, rest.plan, locked=locked, now=DELAY_AT):
            raise AssertionError(faults[0])
        changed = tasks_moved(after, rest.plan, again)
        figures.rest_moved.append(len(changed) / max(len(rest.plan.assignments), 1))
        figures.rest_gap.append(rest.gap or 0.0)
        figures.rest_proven += rest.proven


def _iterations_for(day: PlanningDay, seconds: float) -> int:
    """Iterations that fit into so many seconds. The annealing cools by iterations, not by time.

    With enough time for the long search, which has budgets of its own, there is no limit.
    """
    if seconds >= MIN_SECONDS:
        return SEARCH_WITHOUT_END
    few, _ = _timed(lambda: plan(day, iterations=QUICK_ITERATIONS))
    many, _ = _timed(lambda: plan(day, iterations=5 * QUICK_ITERATIONS))
    one = max(many - few, 1.0) / (4 * QUICK_ITERATIONS)
    return int(max(seconds * 1000 - few, 0.0) / one * SPARE) + QUICK_ITERATIONS


def _validated(day: PlanningDay, result: Plan) -> Plan:
    if faults := validate(day, result):
        raise AssertionError(faults[0])
    return result


def _timed(work: Callable[[], T]) -> tuple[float, T]:
    """Milliseconds of processor time, which does not depend on what else the machine does."""
    begin = time.process_time()
    done = work()
    return (time.process_time() - begin) * 1000, done


def _table(figures: Figures, days: int) -> list[str]:
    best = f", to the MIP bound (proven on {figures.proven})" if figures.mip_gap else ""
    lines = [
        f"{figures.bikes} bikes, {days} days, mean (worst): cost as a part of earliest "
        f"deadline's, gap to the LP bound{best}"
    ]
    for name, ratios in figures.to_deadline.items():
        gaps = [_share(each[name]) for each in (figures.gap, figures.mip_gap) if name in each]
        lines.append(f"  {name:20} {mean(ratios):5.2f}  {'  '.join(gaps)}")
    if not figures.gap:
        lines.append("  highspy is not installed: no bound")
    lines.append(f"  replan, ms           {_times(figures.replan_ms)}")
    lines.append(f"  tasks moved          {_share(figures.moved)}")
    if figures.replan_gap:
        lines.append(f"  replan to LP of rest {_share(figures.replan_gap)}")
    if figures.rest_gap:
        proven = f"proven on {figures.rest_proven}"
        lines.append(f"  best of rest, gap    {_share(figures.rest_gap)}  {proven}")
        lines.append(f"  best of rest, moved  {_share(figures.rest_moved)}")
    lines.append(f"  capacity, ms         {_times(figures.capacity_ms)}")
    return [*lines, ""]


def _share(values: Sequence[float]) -> str:
    return f"{mean(values):6.1%} ({max(values):.1%})"


def _times(values: Sequence[float]) -> str:
    p95 = quantiles(values, n=20)[-1] if len(values) > 1 else values[0]
    return f"mean {mean(values):.0f}, p95 {p95:.0f}"


def _against_rules(days: int) -> str:
    """How often a plan costs more than that of a rule, on small days of every size."""
    worse = 0
    for seed in range(days):
        day = random_day(4 + seed % 12, 10_000 + seed)
        problem = day_compile(day)
        rules = min(dispatch(problem, rule).cost for rule in DispatchRule)
        worse += _validated(day, plan(day, iterations=50, seed=seed)).cost > rules
    return f"{days} random days of 4 to 15 bikes: worse than the best rule on {worse}"
