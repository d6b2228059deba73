"""The search: ruin and recreate with simulated annealing, on the timetable's bit masks.

After Schrimpf et al. (Journal of Computational Physics 159, 2000). Each iteration removes a
few tasks (ruin) and inserts what fits (recreate), the most valuable first by one of several
keys. It removes tasks that are near to each other in time, or those that conflict with one
missed task. The budget is a number of iterations, so that the same seed gives the same plan;
the time limit is only a safety stop.
"""

import random
import time
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from itertools import accumulate
from math import exp, log
from operator import xor
from statistics import median

from .compiled import CompiledDay, bits
from .timetable import CrewTimetable, TaskSlot

MOVE_TOLERANCE_MIN = 5  # a start this near to the previous one does not count as moved
START_TEMPERATURE, END_TEMPERATURE = 1 / 5, 1 / 40  # of annealing, in units of the median miss cost
MOVE_PENALTY = 0.5  # cost of a moved task, in the same units; below any gain in cost


@dataclass(slots=True)
class Preferences:
    """What the search prefers beside low cost. All are empty for a first plan.

    ``levels[task]``: masks of starts, the most promising first. ``fixed``: tasks that
    stay where they are. ``previous_slots[task]``: its start and people in the previous plan.
    """

    levels: dict[int, tuple[int, ...]] = field(default_factory=dict)
    fixed: frozenset[int] = frozenset()
    previous_slots: dict[int, TaskSlot] = field(default_factory=dict)

    def moved(self, task: int, start: int, crew: tuple[int, ...]) -> bool:
        """Whether the slot is more than 5 minutes from the previous one, or of other people."""
        was = self.previous_slots.get(task)
        return was is not None and (abs(start - was[0]) > MOVE_TOLERANCE_MIN or crew != was[1])


@dataclass(slots=True)
class TimeLimit:
    """A safety stop after so many seconds; None: no limit."""

    seconds: float | None = None
    started: float = field(default_factory=time.monotonic)

    def remaining(self) -> float | None:
        """Seconds, never below zero: a solver takes a limit below zero for no limit."""
        spent = time.monotonic() - self.started
        return None if self.seconds is None else max(0.0, self.seconds - spent)

    def is_over(self) -> bool:
        remaining = self.remaining()
        return remaining is not None and remaining <= 0


class Search:
    """A search that improves one timetable."""

    def __init__(
        self, table: CrewTimetable, seed: int, preferences: Preferences | None = None
    ) -> None:
        self.table = table
        self.problem = table.problem
        self.rng = random.Random(seed)  # noqa: S311 (a search, no secret)
        self.preferences = preferences or Preferences()
        self.moved = sum(
            self.preferences.moved(task, start, crew)
            for task, (start, crew) in enumerate(table.snapshot())
            if start >= 0
        )
        costs = [task.miss_cost for task in self.problem.tasks]
        unit = max(1, median(costs)) if costs else 1
        self._unit = unit
        self._worth = _worth(self.problem)
        self._insertion_keys = _insertion_keys(self.problem, self._worth)
        self._before_all = with_required(self.problem, self.problem.first)
        self._movable = [
            t for t in range(len(self.problem.tasks)) if t not in self.preferences.fixed
        ]
        self._startable_spans: dict[tuple[int, int], int] = {}
        self._removed: list[tuple[int, TaskSlot]] = []
        self._inserted: list[int] = []

    @cached_property
    def _same_bike(self) -> list[list[int]]:
        return _same_bike(self.problem)

    @cached_property
    def _startable(self) -> list[int]:
        return _startable(self.problem)

    @cached_property
    def _minutes(self) -> list[int]:
        return [minute for minute, tasks in enumerate(self._startable) if tasks]

    @property
    def objective(self) -> float:
        """The cost of the plan, and a small penalty for each moved task."""
        return self.table.cost + MOVE_PENALTY * self.moved

    def run(self, iterations: int, time_limit: TimeLimit | None = None) -> int:
        """Search; the best plan found is left in the table. Returns the iterations done."""
        if not (self._movable and self._minutes and self.table.cost):
            return 0
        table, chance = self.table, self.rng.random
        best, best_value, value = table.snapshot(), self.objective, self.objective
        cooling = log(END_TEMPERATURE / START_TEMPERATURE) / max(iterations, 1)
        done = 0
        for done in range(iterations):
            if time_limit is not None and done % 64 == 0 and time_limit.is_over():
                break
            temperature = self._unit * START_TEMPERATURE * exp(cooling * done)
            moved = self.moved
            self._removed, self._inserted = [], []
            self._ruin()
            self._recreate()
            worse = self.objective - value
            if worse > 0 and chance() >= exp(-worse / temperature):
                self._undo(moved)
                continue
            value += worse
            if value < best_value:
                best, best_value = table.snapshot(), value
        else:
            done = iterations
        table.restore(best)
        return done

    def _undo(self, moved: int) -> None:
        table = self.table
        for task in self._inserted:
            if table.start[task] >= 0:
                table.remove(task)
        for task, (start, crew) in self._removed:
            table.place(task, start, crew)
        self.moved = moved

    def _remove(self, task: int) -> None:
        """Remove a task, and before it every task that requires it."""
        table = self.table
        if table.start[task] < 0 or task in self.preferences.fixed:
            return
        for other in self.problem.required_by[task]:
            self._remove(other)
        slot = (table.start[task], table.crew[task])
        self._removed.append((task, slot))
        self.moved -= self.preferences.moved(task, *slot)
        table.remove(task)

    def _ruin(self) -> None:
        chance = self.rng.random()
        if self.table.missed and chance < 0.3:
            self._ruin_for_missed()
        elif chance < 0.65:
            self._ruin_around()
        else:
            self._ruin_interval()

    def _ruin_for_missed(self) -> None:
        """Place a missed task where the tasks that conflict with it are worth the least."""
        table, rng, problem = self.table, self.rng, self.problem
        missed = bits(table.missed & self._startable[rng.choice(self._minutes)])
        if not missed:
            return self._ruin_around()
        task = max(rng.sample(missed, min(3, len(missed))), key=lambda t: self._worth[t])
        allowed = problem.allowed[task]
        if not allowed or any(table.start[other] < 0 for other in problem.required[task]):
            return self._ruin_around()
        starts = bits(allowed)
        best, best_worth = None, 0.0
        for start in rng.sample(starts, min(6, len(starts))):
            crew = tuple(rng.sample(problem.able[task], problem.people[task]))
            conflicts = self._conflicting(task, start, crew)
            worth = sum(self._worth[t] for t in conflicts) * (0.5 + rng.random())
            if (best is None or worth < best_worth) and self.preferences.fixed.isdisjoint(
                conflicts
            ):
                best, best_worth = (start, crew, conflicts), worth
        if best is None:
            return None
        start, crew, conflicts = best
        for other in conflicts:
            self._remove(other)
        minutes = problem.minutes[task]
        if table.free_starts(task) >> start & 1 and all(
            table.person_starts(person, minutes) >> start & 1 for person in crew
        ):
            self._place(task, start, crew)
        return None

    def _conflicting(self, task: int, start: int, crew: tuple[int, ...]) -> set[int]:
        """Tasks of these people or this bike in those minutes, and those in the wrong order."""
        table, problem = self.table, self.problem
        end = start + problem.minutes[task]
        conflicts = {t for person in crew for t in table.task_at[person][start:end]}
        for other in self._same_bike[task]:
            at = table.start[other]
            if at >= 0 and at < end and at + problem.minutes[other] > start:
                conflicts.add(other)
        for other in problem.predecessors[task]:
            if table.start[other] + problem.minutes[other] > start and table.start[other] >= 0:
                conflicts.add(other)
        for other in problem.followers[task]:
            if 0 <= table.start[other] < end:
                conflicts.add(other)
        conflicts.discard(-1)
        return conflicts

    def _ruin_around(self) -> None:
        """Remove 2 to 14 tasks near in time to a task chosen at random."""
        table, rng, problem = self.table, self.rng, self.problem
        task = rng.choice(self._movable)
        allowed = problem.allowed[task]
        at = table.start[task]
        if at < 0:
            at = (allowed & -allowed).bit_length() - 1 if allowed else 0
        size = rng.randint(2, 14)
        reach = 1
        found: dict[int, None] = {}
        while len(found) < size and reach < 64:
            for task_at in table.task_at:
                found.update(dict.fromkeys(task_at[max(0, at - reach) : at + reach]))
            found.pop(-1, None)
            reach *= 2
        chosen = list(found)
        if len(chosen) > size:
            chosen = rng.sample(chosen, size)
        for each in chosen:
            self._remove(each)

    def _ruin_interval(self) -> None:
        """Remove everything that one to three people do in 5 to 16 minutes."""
        table, rng, problem = self.table, self.rng, self.problem
        task = rng.choice(self._movable)
        at = table.start[task]
        if at < 0:
            allowed = problem.allowed[task]
            at = rng.choice(bits(allowed)) if allowed else 0
        first = max(0, at - rng.randint(0, 8))
        last = first + rng.randint(5, 16)
        people = rng.sample(range(len(table.task_at)), min(rng.randint(1, 3), len(table.task_at)))
        found = dict.fromkeys(t for p in people for t in table.task_at[p][first:last])
        found.pop(-1, None)
        for each in found:
            self._remove(each)

    def _recreate(self) -> None:
        """Insert what was removed, and any missed task that may start in the time freed."""
        problem, table = self.problem, self.table
        if not self._removed:
            return
        fits = 0
        for task, (start, _) in self._removed:
            fits |= 1 << task | self._startable_in(start, problem.minutes[task])
        candidates = bits(table.missed & fits)
        keys = self.rng.choice(self._insertion_keys)
        if keys is None:
            self.rng.shuffle(candidates)
        else:
            noise = self.rng.random
            candidates.sort(key=lambda t: keys[t] * (0.8 + 0.4 * noise()))
        if self._before_all:
            candidates.sort(key=lambda t: t not in self._before_all)
        left = [task for task in candidates if not self.insert(task)]
        for task in left:
            if problem.required[task]:
                self.insert(task)

    def _startable_in(self, start: int, minutes: int) -> int:
        """A mask of the tasks that may start in one of these minutes."""
        found = self._startable_spans.get((start, minutes))
        if found is None:
            found = 0
            for minute in range(start, start + minutes):
                found |= self._startable[minute]
            self._startable_spans[start, minutes] = found
        return found

    def insert(self, task: int) -> bool:
        """Place a task at its best free start. False if there is none."""
        table = self.table
        mask = table.free_starts(task)
        if not mask:
            return False
        mask &= table.crew_starts(task)
        if not mask:
            return False
        for level in self.preferences.levels.get(task, ()):
            if mask & level:
                mask &= level
                break
        start = self._choose_start(task, mask)
        self._place(task, start, self._choose_crew(task, start))
        return True

    def insert_missed(self) -> None:
        """Insert what still fits, first what is worth most per minute of work."""
        density = self._insertion_keys[0] or []
        for task in sorted(bits(self.table.missed), key=lambda t: (density[t], t)):
            self.insert(task)

    def insert_as_before(self, task: int) -> bool:
        """Place a task exactly as the previous plan has it. False if that is impossible."""
        start, crew = self.preferences.previous_slots[task]
        minutes = self.problem.minutes[task]
        if start < 0 or not self.table.free_starts(task) >> start & 1:
            return False
        if len(crew) != self.problem.people[task] or not set(crew) <= set(self.problem.able[task]):
            return False
        if not all(self.table.person_starts(person, minutes) >> start & 1 for person in crew):
            return False
        self._place(task, start, crew)
        return True

    def insert_at(self, task: int, start: int) -> bool:
        """Place a task at a given start with people who are free. False if there are none."""
        if not self.table.free_starts(task) >> start & 1:
            return False
        crew = self._choose_crew(task, start)
        if crew:
            self._place(task, start, crew)
        return bool(crew)

    def _choose_start(self, task: int, mask: int) -> int:
        """Mostly the earliest start, which is the cheapest; else the last or any."""
        chance = self.rng.random()
        if chance < 0.6 or self.problem.late_rate[task]:
            return (mask & -mask).bit_length() - 1
        if chance < 0.8:
            return mask.bit_length() - 1
        return self.rng.choice(bits(mask))

    def _choose_crew(self, task: int, start: int) -> tuple[int, ...]:
        """The people of the previous plan if they are free, else the least skilled."""
        was = self.preferences.previous_slots.get(task)
        if was is not None:
            minutes = self.problem.minutes[task]
            if set(was[1]) <= set(self.problem.able[task]) and all(
                self.table.person_starts(p, minutes) >> start & 1 for p in was[1]
            ):
                return was[1]
        return self.table.free_crew(task, start)

    def _place(self, task: int, start: int, crew: tuple[int, ...]) -> None:
        self.table.place(task, start, crew)
        self.moved += self.preferences.moved(task, start, crew)
        self._inserted.append(task)


def _worth(problem: CompiledDay) -> list[float]:
    """The worth of each task: its miss cost and that of all tasks that require it."""
    worth: list[float | None] = [None] * len(problem.tasks)

    def own(task: int) -> float:
        if worth[task] is None:
            worth[task] = problem.miss_cost[task] + sum(own(t) for t in problem.required_by[task])
        return worth[task] or 0.0

    return [own(task) for task in range(len(problem.tasks))]


def with_required(problem: CompiledDay, tasks: Iterable[int]) -> frozenset[int]:
    """The tasks, and all that has to be done before them."""
    found, more = set[int](), set(tasks)
    while more:
        found |= more
        more = {other for task in more for other in problem.required[task]} - found
    return frozenset(found)


def _same_bike(problem: CompiledDay) -> list[list[int]]:
    """For each task, the tasks on the same bike."""
    of_bike: list[list[int]] = [[] for _ in range(problem.bikes)]
    for task, bike in enumerate(problem.bike):
        of_bike[bike].append(task)
    return [of_bike[bike] for bike in problem.bike]


def _startable(problem: CompiledDay) -> list[int]:
    """For each minute a mask over the tasks: those that may start in it."""
    changes = [0] * (problem.horizon + 2)  # tasks that begin or cease to be startable
    for task, allowed in enumerate(problem.allowed):
        for edge in bits(allowed ^ allowed << 1):
            changes[edge] ^= 1 << task
    return list(accumulate(changes[:-1], xor))


def _insertion_keys(problem: CompiledDay, worth: list[float]) -> list[list[float] | None]:
    """Keys to insert by, the lowest first: worth per minute, worth, deadline; None: shuffle."""
    size = [m * p for m, p in zip(problem.minutes, problem.people, strict=True)]
    density = [-v / s for v, s in zip(worth, size, strict=True)]
    last = [float(a.bit_length()) for a in problem.allowed]
    return [density, density, [-v for v in worth], last, None, None]
