"""How likely work is to be done in time, put right by what came of earlier days.

Replays (``replays``) are too sure of themselves: nobody plans anew in them. A new plan leaves out
what costs least to miss, and takes in what another left out. So each statement falls into a band
of like statements, and says what part of that band came true on earlier days. Bands are nested:
one with few statements says what the wider one says, and the widest what the replays say. Of the
cost, it is learned what part of the way from the plan's own cost to that of the replays the days
really went.
"""

from collections import Counter, defaultdict
from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, NamedTuple

from .model import Id, PlanningTask
from .replays import Replays

# Statements that the answer of the next wider band is worth, from the widest band to the
# narrowest (our judgement). The replays' own answer is the widest.
PRIORS = (5.0, 20.0, 20.0)
PRIOR_DAYS = 3.0  # days that PRIOR_PART is worth
PRIOR_PART = 0.5  # of the way from the plan's cost to the replays', in simulated days
UNPLANNED = 0.15  # of what a plan left out, what was done all the same in simulated days
LEADS = (45, 120)  # minutes to the end of the window, where a band ends
RAW = (0.5, 0.9)  # shares of replays, where a band ends
ALIKE = (0.5, 0.6, 0.7, 0.8, 0.95)  # shares planned of what costs as much, where a band ends
RANGE = (0.1, 0.9)  # the shares of replays between which a stated cost lies
STEP = 5  # percent: a chance is shown in steps, and is never 0 or 100


class ChanceBand(NamedTuple):
    """Like statements: whether planned, what replays say, the share of its like, how soon."""

    planned: bool
    raw: int
    alike: int
    lead: int

    @property
    def from_widest(self) -> list[tuple[int, ...]]:
        """This band and the wider ones around it."""
        narrowest = len(self)
        return [self[:parts] for parts in range(narrowest + 1 - len(PRIORS), narrowest + 1)]


class Statement(NamedTuple):
    """What replays say of one bike's work, ``lead`` minutes before its window ends.

    ``alike``: of the work that costs as much to miss, the share that the plan has. Where it is
    small a new plan easily puts one in the place of another.
    """

    raw: float
    planned: bool
    lead: float
    alike: float = 1.0

    @property
    def band(self) -> ChanceBand:
        return ChanceBand(
            self.planned,
            _place(self.raw, RAW) if self.planned else 0,
            _place(self.alike, ALIKE),
            _place(self.lead, LEADS),
        )


class StatedCost(NamedTuple):
    """The cost to expect, and the range within which four of five replays lie."""

    mean: float
    low: float
    high: float


@dataclass(frozen=True)
class Experience:
    """What came of the statements of earlier days."""

    said: Counter[ChanceBand] = field(default_factory=Counter)
    came: Counter[ChanceBand] = field(default_factory=Counter)
    part: float = PRIOR_PART

    @cached_property
    def _in_bands(self) -> dict[tuple[int, ...], tuple[int, int]]:
        """By band, narrow or wide: how many statements, and how many came true."""
        found: defaultdict[tuple[int, ...], tuple[int, int]] = defaultdict(lambda: (0, 0))
        for narrowest, said in self.said.items():
            for band in narrowest.from_widest:
                of_band, true = found[band]
                found[band] = of_band + said, true + self.came[narrowest]
        return dict(found)

    def chance(self, statement: Statement) -> float:
        chance = statement.raw if statement.planned else UNPLANNED
        for band, prior in zip(statement.band.from_widest, PRIORS, strict=True):
            said, came = self._in_bands.get(band, (0, 0))
            chance = (came + prior * chance) / (said + prior)
        return chance

    def cost(self, plan_cost: float, made: Replays) -> StatedCost:
        """What the rest of a day costs whose plan says ``plan_cost``."""
        low, high = (made.cost_at(share) for share in RANGE)
        return StatedCost(
            *(plan_cost + self.part * (each - plan_cost) for each in (made.mean_cost, low, high))
        )

    def to_json(self) -> dict[str, Any]:
        return {
            "in_bands": [
                [*band, said, self.came[band]] for band, said in sorted(self.said.items())
            ],
            "part": self.part,
        }

    @classmethod
    def from_json(cls, given: Mapping[str, Any]) -> "Experience":
        """What ``to_json`` wrote; an object of another form is no experience."""
        said, came = Counter[ChanceBand](), Counter[ChanceBand]()
        for *axes, of_band, true in given.get("in_bands", ()):
            band = ChanceBand(*axes)
            said[band], came[band] = of_band, true
        return cls(said, came, given.get("part", PRIOR_PART))


class DayCost(NamedTuple):
    """The cost of one day: as its plan said, as its replays said, and as it came."""

    planned: float
    replayed: float
    came: float


def experience(
    outcomes: Iterable[tuple[Statement, bool]], costs: Iterable[DayCost] = ()
) -> Experience:
    """What statements of earlier days, with what came of them, teach."""
    said, came = Counter[ChanceBand](), Counter[ChanceBand]()
    for statement, done in outcomes:
        said[statement.band] += 1
        came[statement.band] += done
    known = list(costs)
    more = sum(day.replayed - day.planned for day in known)
    typical = PRIOR_DAYS * more / len(known) if known else 0.0
    if more <= 0:
        return Experience(said, came)
    part = (sum(d.came - d.planned for d in known) + PRIOR_PART * typical) / (more + typical)
    return Experience(said, came, part)


def planned_of_alike(tasks: Iterable[PlanningTask], planned: Container[Id]) -> dict[Id, float]:
    """By task, the share planned of those among ``tasks`` that cost as much to miss."""
    by_cost: defaultdict[int, list[Id]] = defaultdict(list)
    for task in tasks:
        by_cost[task.miss_cost].append(task.id)
    return {
        task: sum(other in planned for other in alike) / len(alike)
        for alike in by_cost.values()
        for task in alike
    }


def percent(chance: float) -> int:
    """As it is shown: in steps, and never 0 or 100."""
    return min(100 - STEP, max(STEP, STEP * round(100 * chance / STEP)))


def _place(value: float, ends: tuple[float, ...]) -> int:
    return sum(value >= end for end in ends)
