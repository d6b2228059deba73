"""The bench: random days, every rule and budget, gaps to the bound, replanning; one table.

Times are of this machine; compare figures within one run only. ``--seconds`` are of the
clock, so a busy machine searches less in them; replanning and capacity are in processor time.
"""

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from statistics import mean, quantiles
from typing import TypeVar

from .bounds import Bound, bound
from .capacity import bike_like, capacity
from .compiled import day_compile
from .days import RULES, random_day
from .dispatch import Rule, dispatch
from .model import Day, Plan
from .planner import QUICK, plan, replan
from .polish import LEAST_SECONDS
from .reference import begun, tasks_moved
from .rest import best_of_rest
from .validate import validate

DELAY_AT, DELAY = 605, 15
REASONS = 60  # for as many missed tasks as a page keeps them
SEARCH_WITHOUT_END = 10**7
SPARE = 0.95  # of the time, so that the clock cuts nothing short

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Budgets:
    """Seconds a day: for plans to be compared, for the MIP's bound, for the best of the rest."""

    plans: Sequence[float]
    mip: float | None = None
    rest: float | None = None


@dataclass(slots=True)
class Figures:
    """What was seen of one size of day."""

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

    def add_cost(self, method: str, cost: int, low: Bound, deadline: int) -> None:
        if low.lp:
            self.gap.setdefault(method, []).append(cost / low.lp - 1)
        if low.mip and low.best:
            self.mip_gap.setdefault(method, []).append(cost / low.best - 1)
        if deadline:
            self.to_deadline.setdefault(method, []).append(cost / deadline)


def run(sizes: Sequence[int], days: int, rule_days: int, budgets: Budgets) -> str:
    """Run the bench and return its table."""
    lines = [_costs(), ""]
    for bikes in sizes:
        figures = Figures(bikes)
        for seed in range(1, days + 1):
            _one_day(figures, random_day(bikes, seed), seed, budgets)
        lines += _table(figures, days)
    if rule_days:
        lines.append(_against_rules(rule_days))
    return "\n".join(lines)


def _costs() -> str:
    return "cost of missing: " + ", ".join(f"{k} {r.miss_cost}" for k, r in RULES.items())


def _one_day(figures: Figures, day: Day, seed: int, budgets: Budgets) -> None:
    low = bound(day)
    if budgets.mip:
        whole = bound(day, mip=True, seconds=budgets.mip)
        low = replace(low, mip=whole.mip, proven=whole.proven)
        figures.proven += whole.proven
    problem = day_compile(day)
    costs = {str(rule): dispatch(problem, rule).cost for rule in Rule}
    made = plan(day, iterations=QUICK, seed=seed)
    costs[f"{QUICK} iterations"] = made.cost
    for limit in budgets.plans:
        made = plan(day, iterations=_as_many(day, limit), seconds=limit, seed=seed)
        costs[f"{limit:g} s"] = _checked(day, made).cost
    for method, cost in costs.items():
        figures.add_cost(method, cost, low, costs[Rule.EARLIEST_DEADLINE])
    _replanning(figures, day, made, seed, budgets.rest)
    bike = bike_like(day, day.tasks[0].bike)
    took, _ = _timed(lambda: capacity(day, bike, planned=made, seed=seed))
    figures.capacity_ms.append(took)


def _replanning(figures: Figures, day: Day, made: Plan, seed: int, seconds: float | None) -> None:
    after = delayed(day, DELAY_AT, DELAY)
    took, again = _timed(
        lambda: replan(after, made, before=day, now=DELAY_AT, seed=seed, reasons=REASONS)
    )
    locked = begun(after, made, DELAY_AT)
    if faults := validate(after, again, locked=locked, now=DELAY_AT):
        raise AssertionError(faults[0])
    figures.replan_ms.append(took)
    moved = tasks_moved(after, again, made, before=day)
    figures.moved.append(len(moved) / max(len(again.assignments), 1))
    low = bound(after, now=DELAY_AT, locked=locked).lp
    if low:
        figures.replan_gap.append(again.cost / low - 1)
    if seconds:
        rest = best_of_rest(after, again, now=DELAY_AT, locked=locked, seed=seed, seconds=seconds)
        if faults := validate(after, rest.plan, locked=locked, now=DELAY_AT):
            raise AssertionError(faults[0])
        changed = tasks_moved(after, rest.plan, again)
        figures.rest_moved.append(len(changed) / max(len(rest.plan.assignments), 1))
        figures.rest_gap.append(rest.gap or 0.0)
        figures.rest_proven += rest.proven


def delayed(day: Day, at: int, minutes: int) -> Day:
    """The day with every end of a window at or after ``at`` moved on."""

    def moved(minute: int) -> int:
        return minute + minutes if minute >= at else minute

    return replace(
        day,
        tasks=tuple(
            replace(
                task,
                windows=tuple((moved(a), moved(b)) for a, b in task.windows),
                due=None if task.due is None else moved(task.due),
            )
            for task in day.tasks
        ),
    )


def _as_many(day: Day, seconds: float) -> int:
    """Iterations that fit into so many seconds: annealing cools by them, not by the clock.

    Where the long improvement is on, which has its own budgets, as many as there is time for.
    """
    if seconds >= LEAST_SECONDS:
        return SEARCH_WITHOUT_END
    few, _ = _timed(lambda: plan(day, iterations=QUICK))
    many, _ = _timed(lambda: plan(day, iterations=5 * QUICK))
    one = max(many - few, 1.0) / (4 * QUICK)
    return int(max(seconds * 1000 - few, 0.0) / one * SPARE) + QUICK


def _checked(day: Day, made: Plan) -> Plan:
    if faults := validate(day, made):
        raise AssertionError(faults[0])
    return made


def _timed(work: Callable[[], T]) -> tuple[float, T]:
    """Milliseconds of processor time: what an idle machine takes, however busy this one is."""
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
    """How often a plan is worse than one of the rules on small days of every size."""
    worse = 0
    for seed in range(days):
        day = random_day(4 + seed % 12, 10_000 + seed)
        problem = day_compile(day)
        rules = min(dispatch(problem, rule).cost for rule in Rule)
        worse += _checked(day, plan(day, iterations=50, seed=seed)).cost > rules
    return f"{days} random days of 4 to 15 bikes: worse than the best rule on {worse}"
