"""A better plan on offer: what it saves, what it moves, and how far from the best it can be."""

from collections import Counter
from dataclasses import dataclass
from math import ceil

from jobs.trackday import clock
from jobs.worklist.bikes import BikeDay
from jobs.worklist.day import Day
from jobs.worklist.derive import Task
from jobs.worklist.models import DayPlan
from jobs.worklist.planned.minutes import minute_to
from jobs.worklist.planned.offer import is_open

from .relief import MOST_NAMED, named

Gained = list[tuple[BikeDay, Task]]


@dataclass(frozen=True)
class Offer:
    """``percent``: how far from the best possible it is at most; None: nothing is proven."""

    id: str
    saves: str
    loses: str
    moves: int
    percent: int | None


def offer_of(day: Day, stored: DayPlan | None) -> Offer | None:
    """The plan on offer, as long as nothing it would move has begun."""
    if stored is None or stored.offer is None:
        return None
    offer = stored.offer
    if not is_open(offer, minute_to(clock.midnight(day.trackday), day.at)):
        return None
    tasks = {str(task.id): (bike, task) for bike in day.bikes for task in bike.tasks}
    saves, loses = ([tasks[one] for one in offer[w] if one in tasks] for w in ("saves", "loses"))
    if len(saves) + len(loses) > MOST_NAMED:
        saves, loses = _net(saves, loses), _net(loses, saves)
    return Offer(
        id=offer["id"],
        saves=named(saves),
        loses=named(loses),
        moves=offer["moves"],
        percent=None if offer["gap"] is None else ceil(offer["gap"] * 100),
    )


def _net(gained: Gained, given: Gained) -> Gained:
    """``gained`` without as many tasks of the same name as stand in ``given``."""
    against = Counter(task.item.text for _bike, task in given)
    left = []
    for bike, task in sorted(gained, key=lambda one: -one[1].item.miss_cost):
        if against[task.item.text]:
            against[task.item.text] -= 1
        else:
            left.append((bike, task))
    return left
