"""What is said of a simulated day while it runs, against what comes of it.

Days are put right by days of the other half (``chances``): the random days with an even number
by those with an odd one, and the other way round.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from statistics import fmean
from typing import NamedTuple

from ..chances import DayCost, Experience, StatedCost, Statement, experience
from ..model import Assignment, Id
from ..replays import Replays, replays
from .planned_crew import PlannedCrew, rest_of_day
from .random_days import random_day
from .simulated_world import MUST_START, random_world
from .simulator import SimulatedDay, Slots, WorkState
from .survival_days import DIFFERENT_DAYS, safety_first, verdict

MOMENTS = (0, 500, 545, 600, 660, 800, 900)  # minutes since midnight: said at the next plan
FOLLOW_UP = "follow-up"
COST_BAR, BAND_BAR, BRIER_BAR, ENOUGH = 0.10, 0.05, 0.92, 50
TENTHS = 10


class ChanceOutcome(NamedTuple):
    """One statement, and whether it came true."""

    statement: Statement
    done: bool


@dataclass
class StatedDay:
    """Everything said of one day."""

    number: int
    outcomes: list[ChanceOutcome]
    made: Replays
    cost: DayCost


class StatingCrew(PlannedCrew):
    """Says of each follow-up, a few times a day, how likely it is to be done."""

    def __init__(self, variation: float) -> None:
        super().__init__()
        self.spread = math.sqrt(math.log(1 + variation**2))
        self.said: list[tuple[Id, Statement]] = []
        self.morning: Replays | None = None
        self._waiting = list(MOMENTS)

    def first_plan(self, day: SimulatedDay) -> Slots:
        self.said, self._waiting = [], list(MOMENTS)
        slots = super().first_plan(day)
        self.morning = self._say(day, slots)
        return slots

    def next_plan(self, day: SimulatedDay) -> Slots:
        slots = super().next_plan(day)
        if self._waiting and day.now >= self._waiting[0]:
            self._say(day, slots)
        return slots

    def _say(self, day: SimulatedDay, slots: Slots) -> Replays:
        while self._waiting and day.now >= self._waiting[0]:
            self._waiting.pop(0)
        rest, locked, now = rest_of_day(day)
        made = replays(
            rest,
            [Assignment(task, *slot) for task, slot in slots.items()],
            now=now,
            spread=self.spread,
            locked=locked,
            need_only_begin={task.id for task in rest.tasks if task.kind in MUST_START},
        )
        for task in rest.tasks:
            if task.kind == FOLLOW_UP and day.state[task.id] is WorkState.OPEN:
                lead = max(last for _first, last in task.windows) - day.now
                said = Statement(made.share([task.id]), task.id in slots, lead)
                self.said.append((task.id, said))
        return made


def run(size: int, variation: float, days: int) -> Iterator[str]:
    """The lines to print: the stated cost, and the chances of follow-ups."""
    found = list(_stated_days(size, variation, days))
    judged = []
    for half in (0, 1):
        known = _taught(day for day in found if day.number % 2 != half)
        judged += [(known, day) for day in found if day.number % 2 == half]
    yield _cost_line(size, variation, judged)
    yield from _chance_lines(size, variation, judged)


def _stated_days(size: int, variation: float, days: int) -> Iterator[StatedDay]:
    for number in range(min(DIFFERENT_DAYS, days)):
        day, crew = safety_first(random_day(size, number + 1)), StatingCrew(variation)
        for seed in range(number, days, DIFFERENT_DAYS):
            done = SimulatedDay(day, random_world(day, seed + 1, variation), crew).run()
            outcomes = [
                ChanceOutcome(said, done.state[task] is WorkState.DONE)
                for task, said in crew.said
                if done.state[task] is not WorkState.VOID
            ]
            assert crew.morning is not None
            cost = DayCost(crew.stated_cost, crew.morning.mean_cost, done.cost())
            yield StatedDay(number, outcomes, crew.morning, cost)


def _taught(days: Iterable[StatedDay]) -> Experience:
    known = list(days)
    return experience(
        [outcome for day in known for outcome in day.outcomes], [day.cost for day in known]
    )


def _cost_line(size: int, variation: float, judged: Sequence[tuple[Experience, StatedDay]]) -> str:
    stated = [known.cost(day.cost.planned, day.made) for known, day in judged]
    came = [day.cost.came for _known, day in judged]
    said, was = fmean(each.mean for each in stated), fmean(came)
    inside = sum(_holds(each, cost) for each, cost in zip(stated, came, strict=True))
    return (
        f"{size} bikes, variation {variation}, {len(came)} days: stated cost {said:.0f}, "
        f"simulated {was:.0f} ({said / was:.3f}); the plans alone say "
        f"{fmean(day.cost.planned for _k, day in judged):.0f}, the replays "
        f"{fmean(day.cost.replayed for _k, day in judged):.0f}; "
        f"{inside} of {len(came)} within the range stated"
        + verdict(variation, abs(said / was - 1) <= COST_BAR, "within 10 %")
    )


def _holds(stated: StatedCost, cost: float) -> bool:
    return stated.low <= cost <= stated.high


def _chance_lines(
    size: int, variation: float, judged: Sequence[tuple[Experience, StatedDay]]
) -> Iterator[str]:
    pairs = [(known.chance(o.statement), o) for known, day in judged for o in day.outcomes]
    ours = fmean((chance - o.done) ** 2 for chance, o in pairs)
    raw = fmean((o.statement.raw - o.done) ** 2 for _chance, o in pairs)
    certain = fmean((o.statement.planned - o.done) ** 2 for _chance, o in pairs)
    yield (
        f"{size} bikes, variation {variation}: {len(pairs)} chances of follow-ups, Brier "
        f"{ours:.4f}, of the replays alone {raw:.4f}, of a plan taken as certain {certain:.4f}: "
        f"{ours / certain:.3f}" + verdict(variation, ours <= BRIER_BAR * certain, f"<= {BRIER_BAR}")
    )
    bands: dict[int, list[tuple[float, bool]]] = {}
    for chance, o in pairs:
        bands.setdefault(min(int(chance * TENTHS), TENTHS - 1), []).append((chance, o.done))
    lines = [_SaidAndWas(band) for _place, band in sorted(bands.items())]
    yield (
        "  said and was, with how many: "
        + ", ".join(f"{b.said:.2f} {b.was:.2f} ({b.number})" for b in lines)
        + verdict(
            variation, all(b.is_right for b in lines), "each of 50 or more within 0.05 or 2 SE"
        )
    )


@dataclass
class _SaidAndWas:
    """Statements with like chances."""

    pairs: list[tuple[float, bool]] = field(repr=False)

    @property
    def number(self) -> int:
        return len(self.pairs)

    @property
    def said(self) -> float:
        return fmean(chance for chance, _done in self.pairs)

    @property
    def was(self) -> float:
        return fmean(done for _chance, done in self.pairs)

    @property
    def is_right(self) -> bool:
        error = math.sqrt(self.said * (1 - self.said) / self.number)
        return self.number < ENOUGH or abs(self.said - self.was) <= max(BAND_BAR, 2 * error)
