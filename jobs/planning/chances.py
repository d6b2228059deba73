"""How likely work is to be done in time, put right by what came of earlier days.

Replays (``replays``) are too sure of themselves: nobody plans anew in them, and what a plan leaves
out is sometimes done all the same. So each statement falls into a band of like statements, and
says what part of that band came true on earlier days. A band with few of them says what the
replays say: these count as ``PRIOR`` statements. Of the cost, it is learned what part of the
way from the plan's own cost to that of the replays the days really went.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from .replays import Replays

PRIOR = 5.0  # statements that the replays' own answer is worth (our judgement)
PRIOR_DAYS = 3.0  # days that PRIOR_PART is worth
PRIOR_PART = 0.5  # of the way from the plan's cost to the replays', in simulated days
UNPLANNED = 0.15  # of what a plan left out, what was done all the same in simulated days
LEADS = (45, 120)  # minutes to the end of the window, where a band ends
RAW = (0.5, 0.9)  # shares of replays, where a band ends
RANGE = (0.1, 0.9)  # the shares of replays between which a stated cost lies
STEP = 5  # percent: a chance is shown in steps, and is never 0 or 100


class ChanceBand(NamedTuple):
    """Like statements: whether the plan has the work, how soon it ends, what replays say."""

    planned: bool
    lead: int
    raw: int


class Statement(NamedTuple):
    """What replays say of one bike's work, ``lead`` minutes before its window ends."""

    raw: float
    planned: bool
    lead: float

    @property
    def band(self) -> ChanceBand:
        if not self.planned:
            return ChanceBand(False, _place(self.lead, LEADS), 0)
        return ChanceBand(True, _place(self.lead, LEADS), _place(self.raw, RAW))


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

    def chance(self, statement: Statement) -> float:
        band = statement.band
        prior = statement.raw if statement.planned else UNPLANNED
        return (self.came[band] + PRIOR * prior) / (self.said[band] + PRIOR)

    def cost(self, plan_cost: float, made: Replays) -> StatedCost:
        """What the rest of a day costs whose plan says ``plan_cost``."""
        low, high = (made.cost_at(share) for share in RANGE)
        return StatedCost(
            *(plan_cost + self.part * (each - plan_cost) for each in (made.mean_cost, low, high))
        )

    def to_json(self) -> dict[str, Any]:
        return {
            "bands": [[*band, said, self.came[band]] for band, said in sorted(self.said.items())],
            "part": self.part,
        }

    @classmethod
    def from_json(cls, given: Mapping[str, Any]) -> "Experience":
        """What ``to_json`` wrote; an empty object is no experience."""
        said, came = Counter[ChanceBand](), Counter[ChanceBand]()
        for planned, lead, raw, of_band, true in given.get("bands", ()):
            band = ChanceBand(planned, lead, raw)
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


def percent(chance: float) -> int:
    """As it is shown: in steps, and never 0 or 100."""
    return min(100 - STEP, max(STEP, STEP * round(100 * chance / STEP)))


def _place(value: float, ends: tuple[float, ...]) -> int:
    return sum(value >= end for end in ends)
