"""A plan worked off many times, with minutes that scatter: what is done, and what it costs.

Each person does their tasks in the order of the plan and begins each as soon as it can begin.
Nobody plans anew in a replay, which people do on a real day: so what replays say is put right by
what came of earlier days (``chances``). Minutes are log-normal around their mean and drawn anew
for each task and each replay; the draw depends on the task's name or id alone, so that the same
plan, or one that differs in one task, is replayed with the same minutes.
"""

import math
import random
from collections.abc import Container, Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from .model import Assignment, Id, PlanningDay, PlanningTask

REPLAYS = 200
GRACE = 2.0  # minutes past its window in which work in hand is still finished (our judgement)
LEAST_LEFT = 0.5  # minutes that work in hand still takes, however long it has taken
NEVER = math.inf

Times = list[float]  # one for each replay


@dataclass(frozen=True)
class Replays:
    """``done``: by task, a mask with one bit for each replay. ``costs``: one for each replay."""

    number: int
    done: dict[Id, int]
    costs: tuple[float, ...]

    def share(self, tasks: Iterable[Id]) -> float:
        """The share of the replays in which all of these tasks are done."""
        mask = (1 << self.number) - 1
        for task in tasks:
            mask &= self.done.get(task, 0)
        return mask.bit_count() / self.number

    @property
    def mean_cost(self) -> float:
        return sum(self.costs) / self.number

    def cost_at(self, share: float) -> float:
        """The cost that this share of the replays stays at or below."""
        return sorted(self.costs)[min(self.number - 1, math.ceil(share * self.number) - 1)]


def replays(
    day: PlanningDay,
    assignments: Iterable[Assignment],
    *,
    now: int,
    spread: float,
    locked: Iterable[Assignment] = (),
    need_only_begin: Container[Id] = (),
    number: int = REPLAYS,
    seed: int = 1,
) -> Replays:
    """Work off a plan ``number`` times from ``now``.

    ``spread``: the standard deviation of the logarithm of minutes. ``locked``: what is begun or
    pinned. ``need_only_begin``: tasks that must begin in their windows; all others must end.
    """
    held = {a.task: a for a in locked}
    planned = {a.task: a for a in assignments} | held
    run = _Run(day, now, number, need_only_begin)
    order = sorted(
        (planned[task.id].start, task.order, task) for task in day.tasks if task.id in planned
    )
    for start, _order, task in order:
        minutes = _minutes(task.order[0], task.minutes, spread, number, seed)
        if task.id in held and start < now:
            run.finish(task, planned[task.id], minutes)
        else:
            run.work(task, planned[task.id], minutes)
    return run.result()


@lru_cache(maxsize=1024)
def _minutes(task: str, mean: int, spread: float, number: int, seed: int) -> tuple[float, ...]:
    draw = random.Random(f"{seed}/{task}").gauss  # noqa: S311 (a made-up day, no secret)
    middle = -(spread**2) / 2
    return tuple(mean * math.exp(middle + draw(0, 1) * spread) for _ in range(number))


class _Run:
    """All replays at once: when each person and each bike is free again, and what is done."""

    def __init__(
        self, day: PlanningDay, now: int, number: int, need_only_begin: Container[Id]
    ) -> None:
        self.day, self.now, self.number = day, now, number
        self.need_only_begin = need_only_begin
        self.known = {task.id for task in day.tasks}
        self.off = {member.id: sorted(member.off) for member in day.crew}
        self.crew_free: dict[Id, Times] = {}
        self.bike_free: dict[Id, Times] = {}
        self.ends: dict[Id, Times] = {}  # of a task that is missed: NEVER
        self.late_costs = [0.0] * number

    def finish(self, task: PlanningTask, slot: Assignment, minutes: Sequence[float]) -> None:
        """Work in hand: it ends when its minutes are over, but not before now."""
        earliest = self.now + LEAST_LEFT
        ends = [max(slot.start + each, earliest) for each in minutes]
        self._keep(task, slot, ends, ends)

    def work(self, task: PlanningTask, slot: Assignment, minutes: Sequence[float]) -> None:
        """Begin as soon as people, bike, earlier tasks and window allow; else it is missed."""
        ready = self._ready(task, slot)
        begins = [self._begin(task, slot, each) for each in ready]
        latest = max((last for _first, last in task.windows), default=NEVER) + GRACE
        if task.id in self.need_only_begin:
            latest = NEVER
        wished = [begin + each for begin, each in zip(begins, minutes, strict=True)]
        ends = [end if end <= latest else NEVER for end in wished]
        over = [min(end, latest) if end != NEVER else NEVER for end in wished]
        self._keep(task, slot, ends, over)

    def result(self) -> Replays:
        costs, done = self.late_costs, {}
        for task in self.day.tasks:
            mask = 0
            for place, end in enumerate(self.ends.get(task.id, ())):
                if end != NEVER:
                    mask |= 1 << place
            done[task.id] = mask
            costs = [
                cost if mask >> place & 1 else cost + task.miss_cost
                for place, cost in enumerate(costs)
            ]
        return Replays(self.number, done, tuple(costs))

    def _ready(self, task: PlanningTask, slot: Assignment) -> Times:
        """When people and bike are free and what comes first is over; NEVER: it is missed."""
        ready = [float(self.now)] * self.number
        for person in slot.crew:
            if person in self.crew_free:
                ready = list(map(max, ready, self.crew_free[person]))
        if task.bike in self.bike_free:
            ready = list(map(max, ready, self.bike_free[task.bike]))
        for other in task.after:
            if other in self.ends:
                ready = [
                    max(a, b) if b != NEVER else a
                    for a, b in zip(ready, self.ends[other], strict=True)
                ]
        for other in task.requires:
            if other in self.known:
                ready = list(map(max, ready, self.ends.get(other, [NEVER] * self.number)))
        return ready

    def _begin(self, task: PlanningTask, slot: Assignment, ready: float) -> float:
        if not task.windows:
            return self._when_here(task, slot, ready)
        grace = 0.0 if task.id in self.need_only_begin else GRACE
        for first, last in task.windows:
            begin = self._when_here(task, slot, max(ready, first))
            if begin <= last + grace - task.minutes:
                return begin
        return NEVER

    def _when_here(self, task: PlanningTask, slot: Assignment, begin: float) -> float:
        """The first moment from ``begin`` at which none of the people is away."""
        for person in slot.crew:
            for first, last in self.off.get(person, ()):
                if first < begin + task.minutes and begin < last:
                    begin = float(last)
        return begin

    def _keep(self, task: PlanningTask, slot: Assignment, ends: Times, over: Times) -> None:
        self.ends[task.id] = ends
        self.bike_free[task.bike] = self._later(self.bike_free.get(task.bike), over)
        for person in slot.crew:
            self.crew_free[person] = self._later(self.crew_free.get(person), over)
        if task.due is not None and task.late_cost_per_min:
            rate, due = task.late_cost_per_min, task.due
            self.late_costs = [
                cost + (rate * max(0.0, end - due) if end != NEVER else 0.0)
                for cost, end in zip(self.late_costs, ends, strict=True)
            ]

    def _later(self, was: Times | None, over: Times) -> Times:
        """When it is free again; a task that could not begin takes no time of anybody."""
        before = was or [float(self.now)] * self.number
        return [a if b == NEVER else max(a, b) for a, b in zip(before, over, strict=True)]
