"""How many more bikes a day can take."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from .model import Day, Id, Plan, ProblemError, Task
from .planner import plan, replan

PROBE = 150  # iterations a probe may take
MOST = 12  # bikes; nobody asks for more at once
NEGLECT = 0.10  # part of a bike's worth that may be missed for it still to count as served


@dataclass(frozen=True, slots=True)
class AtLeast:
    """So many more bikes fit for certain: a plan that takes them was found."""

    bikes: int

    def __str__(self) -> str:
        return f"at least {self.bikes} more" if self.bikes else "none more"


def capacity(
    day: Day,
    bike: Sequence[Task],
    *,
    planned: Plan | None = None,
    iterations: int = PROBE,
    seed: int = 1,
    most: int = MOST,
) -> AtLeast:
    """At least how many more bikes with these tasks the day can take.

    A bike fits while what is missed in all for taking it is worth at most a tenth of one
    such bike each, and no task dearer than any of its setup work is newly missed.
    """
    planned = planned or plan(day, iterations=4 * iterations, seed=seed)
    worth = sum(task.miss_cost for task in bike)

    def fits(count: int) -> bool:
        fuller = replace(day, tasks=(*day.tasks, *_copies(bike, count)))
        made = replan(fuller, planned, before=day, iterations=iterations, seed=seed)
        if made.cost - planned.cost > NEGLECT * worth * count:
            return False
        dear = max((task.miss_cost for task in bike), default=0)
        return _dear_missed(fuller, made, dear) <= _dear_missed(day, planned, dear)

    return AtLeast(_largest(fits, most)) if bike else AtLeast(0)


def bike_like(day: Day, bike: Id) -> tuple[Task, ...]:
    """The tasks of a bike of the day, to ask for more of its kind."""
    tasks = tuple(task for task in day.tasks if str(task.bike) == str(bike))
    if not tasks:
        raise ProblemError(f"bike {bike}: no task of the problem is on it")
    return tasks


def _copies(bike: Sequence[Task], count: int) -> list[Task]:
    """The bike's tasks again, so many times, under ids of their own."""
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


def _dear_missed(day: Day, made: Plan, dear: int) -> int:
    missed = {m.task for m in made.missed}
    return sum(task.id in missed and task.miss_cost >= dear for task in day.tasks)


def _largest(fits: Callable[[int], bool], most: int) -> int:
    """The largest count that fits, by doubling and then halving; few probes."""
    low, high = 0, 1
    while high <= most and fits(high):
        low, high = high, high * 2
    high = min(high, most + 1)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low
