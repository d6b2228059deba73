"""How many more bikes the crew can serve on a day."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from .model import Id, Plan, PlanningDay, PlanningTask, ProblemError
from .planner import plan, replan

PROBE_ITERATIONS = 150  # of each search
MAX_BIKES = 12  # more are never asked for at once
ALLOWED_LOSS = 0.10  # part of the worth of the new bikes that may be missed


@dataclass(frozen=True, slots=True)
class Capacity:
    """A lower bound: a plan with at least so many more bikes was found."""

    bikes: int

    def __str__(self) -> str:
        return f"at least {self.bikes} more" if self.bikes else "none more"


def capacity(
    day: PlanningDay,
    bike: Sequence[PlanningTask],
    *,
    planned: Plan | None = None,
    iterations: int = PROBE_ITERATIONS,
    seed: int = 1,
    most: int = MAX_BIKES,
) -> Capacity:
    """At least how many more bikes with these tasks the crew can serve.

    Bikes fit as long as no further ``first`` task is missed, the cost of the plan rises by at
    most a tenth of their worth, and no further task is missed that costs as much as the most
    costly task of the bike.
    """
    planned = planned or plan(day, iterations=4 * iterations, seed=seed)
    worth = sum(task.miss_cost for task in bike)

    def fits(count: int) -> bool:
        fuller = replace(day, tasks=(*day.tasks, *_copies(bike, count)))
        result = replan(fuller, planned, previous_input=day, iterations=iterations, seed=seed)
        if result.first_missed > planned.first_missed:
            return False
        if result.cost - planned.cost > ALLOWED_LOSS * worth * count:
            return False
        highest = max((task.miss_cost for task in bike), default=0)
        return _costly_missed(fuller, result, highest) <= _costly_missed(day, planned, highest)

    return Capacity(_largest(fits, most)) if bike else Capacity(0)


def bike_like(day: PlanningDay, bike: Id) -> tuple[PlanningTask, ...]:
    """The tasks of one bike of the day, as an example for more bikes."""
    tasks = tuple(task for task in day.tasks if str(task.bike) == str(bike))
    if not tasks:
        raise ProblemError(f"bike {bike}: no task of the problem is on it")
    return tasks


def _copies(bike: Sequence[PlanningTask], count: int) -> list[PlanningTask]:
    """The tasks of the bike copied ``count`` times, each with new ids."""
    own = {task.id for task in bike}

    def renamed(task_id: Id, i: int) -> Id:
        return f"{task_id} (more {i})" if task_id in own else task_id

    return [
        replace(
            task,
            id=renamed(task.id, i),
            bike=f"{task.bike} (more {i})",
            after=tuple(renamed(other, i) for other in task.after),
            requires=tuple(renamed(other, i) for other in task.requires),
        )
        for i in range(1, count + 1)
        for task in bike
    ]


def _costly_missed(day: PlanningDay, plan: Plan, miss_cost: int) -> int:
    missed = {m.task for m in plan.missed}
    return sum(task.id in missed and task.miss_cost >= miss_cost for task in day.tasks)


def _largest(fits: Callable[[int], bool], most: int) -> int:
    """The largest count that fits, found by doubling and then halving."""
    low, high = 0, 1
    while high <= most and fits(high):
        low, high = high, high * 2
    high = min(high, most + 1)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low
