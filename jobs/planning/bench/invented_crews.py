"""Crews whose true minutes are known, and how well these are learned from their marks.

Every kind of work and every person differs from the planned minutes, and every person has their
own way with a kind; each time is log-normal around that.
"""

import math
import random
from collections.abc import Iterator

from ..learned_minutes import learned_minutes
from ..model import Id
from ..work_times import WorkTime
from .survival_days import verdict

KINDS = tuple(f"kind {number}" for number in range(10))
PEOPLE = tuple(f"person {number}" for number in range(5))
ON_A_DAY = (3, 3, 3, 3, 2, 20, 20, 5, 12, 20)  # tasks of each kind on a day of some 20 bikes
OF_KINDS, OF_PEOPLE, OF_BOTH = 0.25, 0.20, 0.10  # standard deviations of the logarithm
CREWS, DAYS_LEARNED = 100, 3
SHARE, SHARE_BAR = 0.8, (0.77, 0.83)


class InventedCrew:
    """``true``: by kind and person, the logarithm of the median minutes over those planned."""

    def __init__(self, seed: int, variation: float) -> None:
        self.rng = rng = random.Random(f"crew/{seed}")  # noqa: S311 (made up, no secret)
        self.spread = math.sqrt(math.log(1 + variation**2))
        kinds = {kind: rng.gauss(0, OF_KINDS) for kind in KINDS}
        people = {person: rng.gauss(0, OF_PEOPLE) for person in PEOPLE}
        self.true: dict[tuple[str, Id], float] = {
            (kind, person): kinds[kind] + people[person] + rng.gauss(0, OF_BOTH)
            for kind in KINDS
            for person in PEOPLE
        }

    def minutes(self, cell: tuple[str, Id]) -> float:
        return math.exp(self.true[cell] + self.rng.gauss(0, self.spread))

    def days(self, count: int) -> list[WorkTime]:
        return [
            WorkTime(kind, person, 1, self.minutes((kind, person)))
            for kind, tasks in zip(KINDS, ON_A_DAY, strict=True)
            for person in PEOPLE
            for _ in range(max(1, round(tasks / 2 * count)))
        ]


def run(variation: float) -> Iterator[str]:
    """The line to print: how often a new time stays within what was learned."""
    within = made = 0
    for seed in range(CREWS):
        crew = InventedCrew(seed, variation)
        learned = learned_minutes(crew.days(DAYS_LEARNED))
        for kind, person in crew.true:
            made += 1
            within += crew.minutes((kind, person)) <= learned.quantile(SHARE, kind, person)
    held, (least, most) = within / made, SHARE_BAR
    yield (
        f"{CREWS} invented crews, variation {variation}, {DAYS_LEARNED} days learned: "
        f"the {SHARE:.0%} quantile holds in {held:.1%} of {made} new times"
        + verdict(variation, least <= held <= most, f"{least:.0%} to {most:.0%}")
    )
