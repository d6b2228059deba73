"""Simulated days as lines of a file, so that a long run can be broken off and done in parts.

One line is one random day, as one way of working went through it: with or without offers to who
has nothing to do. No two days are of the same bikes: days of one kind are more alike than those
of a business. Of days without them it is kept what was said while they ran,
and what came of it. A line that is in the file is not simulated again.
"""

import json
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import astuple, dataclass, field, replace
from pathlib import Path
from typing import Any

from ..chances import DayCost, Statement
from ..model import ProblemError
from ..replays import Replays
from .planned_crew import PlannedCrew, PlannedMorning
from .random_days import random_day
from .simulated_world import SAFETY, random_world
from .simulator import SimulatedDay, WorkState
from .stating_crew import StatingCrew
from .survival_days import safety_first

NO_REPLAYS = Replays(0, {}, ())


@dataclass(frozen=True, order=True)
class WhichDay:
    """The ``number``-th random day of so many bikes, with or without offers."""

    bikes: int
    variation: float
    number: int
    offers: bool


@dataclass(frozen=True)
class DayOutcome:
    cost: float
    safety_missed: int
    plans: int
    taken: int


@dataclass(frozen=True)
class KeptDay:
    """``said``: each statement, and whether it came true. ``made``: the costs of the replays
    of the morning. ``planned``: the cost of the morning's plan."""

    which: WhichDay
    outcome: DayOutcome
    planned: int
    said: list[tuple[Statement, bool]] = field(default_factory=list)
    made: Replays = NO_REPLAYS

    @property
    def cost(self) -> DayCost:
        return DayCost(self.planned, self.made.mean_cost, self.outcome.cost)


def days_asked(
    sizes: Sequence[int], variations: Sequence[float], days: int, part: tuple[int, int] = (1, 1)
) -> list[WhichDay]:
    """Which days tables are of; of ``part`` (k, n) only the k-th of n parts."""
    place, parts = part
    return [
        WhichDay(bikes, variation, number, offers)
        for bikes in sizes
        for variation in variations
        for offers in (False, True)
        for number in range(place, days + 1, parts)
    ]


def simulate(asked: Iterable[WhichDay], file: Path | None = None) -> list[KeptDay]:
    """Those days; what is in the file already is read, what is not is added to it."""
    known = {day.which: day for day in _read(file)}
    wanted = list(asked)
    for day in _simulated(which for which in wanted if which not in known):
        known[day.which] = day
        if file is not None:
            with file.open("a", encoding="utf-8") as stream:
                stream.write(json.dumps(_to_json(day)) + "\n")
    return [known[which] for which in wanted]


def outcome(day: SimulatedDay) -> DayOutcome:
    safety = sum(day.tasks[task].kind == SAFETY for task in day.missed())
    return DayOutcome(day.cost(), safety, day.plans, day.taken)


def _simulated(asked: Iterable[WhichDay]) -> Iterator[KeptDay]:
    """The morning of a random day is planned once for both ways of working."""
    mornings: defaultdict[tuple[int, int], PlannedMorning] = defaultdict(PlannedMorning)
    for which in asked:
        yield _day(which, mornings[which.bikes, which.number])


def _day(which: WhichDay, morning: PlannedMorning) -> KeptDay:
    day = safety_first(random_day(which.bikes, which.number))
    world = random_world(day, which.number, which.variation)
    if which.offers:
        offering = PlannedCrew(offers=True, morning=morning)
        done = SimulatedDay(day, world, offering).run()
        return KeptDay(which, outcome(done), offering.stated_cost)
    stating = StatingCrew(which.variation, morning)
    done = SimulatedDay(day, world, stating).run()
    assert stating.in_the_morning is not None
    return KeptDay(
        which,
        outcome(done),
        stating.stated_cost,
        said=[
            (statement, done.state[task] is WorkState.DONE)
            for task, statement in stating.said
            if done.state[task] is not WorkState.VOID
        ],
        made=replace(stating.in_the_morning, done={}),
    )


def _to_json(day: KeptDay) -> dict[str, Any]:
    return {
        "which": astuple(day.which),
        "outcome": astuple(day.outcome),
        "planned": day.planned,
        "said": [[*statement, came] for statement, came in day.said],
        "costs": day.made.costs,
    }


def _read(file: Path | None) -> Iterator[KeptDay]:
    """What is kept. Raises ProblemError for a line that is none of ours, or broken off."""
    if file is None or not file.exists():
        return
    for number, line in enumerate(file.read_text(encoding="utf-8").splitlines(), start=1):
        try:
            given = json.loads(line)
            yield KeptDay(
                WhichDay(*given["which"]),
                DayOutcome(*given["outcome"]),
                given["planned"],
                [(Statement(*statement), came) for *statement, came in given["said"]],
                Replays(len(given["costs"]), {}, tuple(given["costs"])),
            )
        except (ValueError, KeyError, TypeError) as error:
            raise ProblemError(f"{file}: line {number} is no simulated day: {error!r}") from None
