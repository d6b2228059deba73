"""What really happens on one simulated day: minutes scatter, bikes come late, riders are away.

A world is fixed by its seed, whatever the crew does in it: so two ways of working are compared
in the same worlds. Minutes of a task are log-normal, with the planned minutes as their mean.
"""

import math
import random
from dataclasses import dataclass, field

from ..model import Id, PlanningDay

SAFETY = "arrival safety"
ON_ARRIVAL = frozenset({SAFETY, "identify", "cold pressures", "clicker baseline", "sag"})
WITH_RIDER = frozenset({"sag", "follow-up"})
# Work that must begin in its window; all other work must end in it.
MUST_START = frozenset({"hot reads", "ring read", "hot re-check"})
LATE_BIKES, LEAST_LATE, MEAN_LATE, MOST_LATE = 0.2, 3.0, 15.0, 40.0
DELAYS, DELAY_MINUTES = 2.0, (5, 5, 10, 15)  # on average a day
DELAYS_BETWEEN = (545, 940)
ABSENT = 0.04  # of the riders who are needed


@dataclass(frozen=True)
class World:
    """``late``: minutes by which a bike comes late; ``delays``: (minute, by how many)."""

    minutes: dict[Id, float]
    late: dict[Id, float] = field(default_factory=dict)
    delays: tuple[tuple[float, int], ...] = ()
    absent: frozenset[Id] = frozenset()


def calm_world(day: PlanningDay) -> World:
    """Everything goes exactly as planned."""
    return World({task.id: float(task.minutes) for task in day.tasks})


def random_world(
    day: PlanningDay, seed: int, variation: float, late_bikes: float = LATE_BIKES
) -> World:
    """``variation``: the standard deviation of a task's minutes as a part of their mean."""
    rng = random.Random(f"world/{seed}")  # noqa: S311 (a made-up day, no secret)
    spread = math.sqrt(math.log(1 + variation**2))
    minutes = {
        task.id: max(0.3, task.minutes * math.exp(rng.gauss(0, 1) * spread - spread**2 / 2))
        for task in day.tasks
    }
    bikes = sorted({task.bike for task in day.tasks}, key=str)
    late = {
        bike: min(MOST_LATE, LEAST_LATE + rng.expovariate(1 / MEAN_LATE))
        for bike in bikes
        if rng.random() < late_bikes
    }
    count = sum(rng.random() < DELAYS / 8 for _ in range(8))
    delays = sorted((rng.uniform(*DELAYS_BETWEEN), rng.choice(DELAY_MINUTES)) for _ in range(count))
    absent = frozenset(
        task.id for task in day.tasks if task.kind in WITH_RIDER and rng.random() < ABSENT
    )
    return World(minutes, late, tuple(delays), absent)
