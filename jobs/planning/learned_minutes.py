"""Minutes learned from the times that work took: by kind of work and by person.

The logarithm of taken by planned minutes is the sum of an effect of the kind, one of the person,
one of both together, and what is left to chance. Each effect is a normal deviation from the
planned minutes, as small as its prior says until there is more to know: the best linear unbiased
predictions of a mixed model (Henderson, Biometrics 31(2), 1975, from memory), solved by a few
rounds of Gauss-Seidel. The priors are our judgement.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from math import exp, log, sqrt
from statistics import NormalDist

from .model import Id
from .work_times import WorkTime

# Standard deviations of the logarithm: of kinds, of people, of a person's own way with a kind.
KIND_SPREAD, PERSON_SPREAD, CELL_SPREAD = 0.30, 0.15, 0.10
# What is left to chance, and the number of times that this is worth.
NOISE, NOISE_WEIGHT = 0.45, 20
PLANNED = -(NOISE**2) / 2  # the planned minutes are a mean: the median is so much lower
ROUNDS = 8

Cell = tuple[str, Id]
Effects = dict[object, float]


@dataclass
class LearnedMinutes:
    """Factors on the planned minutes; a kind or a person never seen counts as planned."""

    counts: dict[Cell, int] = field(default_factory=dict)
    spread: float = NOISE
    kinds: Effects = field(default_factory=dict)
    people: Effects = field(default_factory=dict)
    cells: Effects = field(default_factory=dict)

    def effect(self, kind: str, person: Id | None = None) -> float:
        """The logarithm of the median factor; without a person, of the kind."""
        common = PLANNED + self.kinds.get(kind, 0.0)
        if person is None:
            return common
        own = self.people.get(person, 0.0) + self.cells.get((kind, person), 0.0)
        return common + own

    def mean(self, kind: str, person: Id | None = None) -> float:
        """The mean factor: with it a sum of many tasks comes out right."""
        return exp(self.effect(kind, person) + self.spread**2 / 2)

    def quantile(self, share: float, kind: str, person: Id) -> float:
        """The factor that a new task stays below in this share of cases."""
        times = self.counts.get((kind, person), 0)
        unknown = 1 / (1 / CELL_SPREAD**2 + times / self.spread**2)
        deviation = NormalDist().inv_cdf(share) * sqrt(self.spread**2 + unknown)
        return exp(self.effect(kind, person) + deviation)

    def count(self, kind: str) -> int:
        """How many times it was learned from."""
        return sum(times for cell, times in self.counts.items() if cell[0] == kind)


def learned_minutes(times: Iterable[WorkTime]) -> LearnedMinutes:
    """What the times teach. Only sums per kind and person are looked at."""
    sums: defaultdict[Cell, float] = defaultdict(float)
    squares: defaultdict[Cell, float] = defaultdict(float)
    learned = LearnedMinutes(counts=defaultdict(int))
    for each in times:
        cell, value = (each.kind, each.person), log(each.minutes / each.planned)
        learned.counts[cell] += 1
        sums[cell] += value
        squares[cell] += value**2
    variance = NOISE**2
    for _ in range(ROUNDS):
        _fit(learned, learned.kinds, lambda cell: cell[0], sums, variance / KIND_SPREAD**2)
        _fit(learned, learned.people, lambda cell: cell[1], sums, variance / PERSON_SPREAD**2)
        _fit(learned, learned.cells, lambda cell: cell, sums, variance / CELL_SPREAD**2)
        rest = sum(
            squares[cell] - 2 * learned.effect(*cell) * sums[cell] + n * learned.effect(*cell) ** 2
            for cell, n in learned.counts.items()
        )
        seen = sum(learned.counts.values())
        variance = (NOISE_WEIGHT * NOISE**2 + rest) / (NOISE_WEIGHT + seen)
    learned.spread = sqrt(variance)
    return learned


def _fit(
    learned: LearnedMinutes,
    effects: Effects,
    key_of: Callable[[Cell], object],
    sums: Mapping[Cell, float],
    prior: float,
) -> None:
    """Fit one kind of effect to what the others leave over; ``prior`` in numbers of times."""
    rest: defaultdict[object, float] = defaultdict(float)
    weight: defaultdict[object, float] = defaultdict(float)
    for cell, times in learned.counts.items():
        key = key_of(cell)
        others = learned.effect(*cell) - effects.get(key, 0.0)
        rest[key] += sums[cell] - times * others
        weight[key] += times
    for key, value in rest.items():
        effects[key] = value / (weight[key] + prior)
