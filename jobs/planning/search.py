"""Ruin and recreate with simulated annealing on the timetable's bit masks.

After Schrimpf et al. (Journal of Computational Physics 159, 2000). Every iteration takes
a few tasks out and puts back what fits, dearest first in one of several senses. Two ways
to ruin: around a place in the day, or just what stands in the way of one missed task.
Budgets are iterations, never time; the clock is looked at only as a safety stop.
"""

import random
import time
from dataclasses import dataclass, field
from functools import cached_property
from itertools import accumulate
from math import exp, log
from operator import xor
from statistics import median

from .compiled import Compiled, bits
from .timetable import Slot, Timetable

NEAR = 5  # minutes a task may shift within its outing without counting as moved
HOT, COLD = 1 / 5, 1 / 40  # annealing temperatures, in units of the median miss cost
MOVED = 0.5  # cost of leaving the reference, in the same units; below any real gain


@dataclass(slots=True)
class Wishes:
    """What the search prefers beyond cost; all empty for a fresh day.

    ``levels[task]``: masks of starts, the most promising first. ``held``: tasks that
    stay where they are. ``reference[task]``: where the plan before has it, and by whom;
    a start more than 5 minutes from that, or another person, is a task moved.
    """

    levels: dict[int, tuple[int, ...]] = field(default_factory=dict)
    held: frozenset[int] = frozenset()
    reference: dict[int, Slot] = field(default_factory=dict)

    def moved(self, task: int, start: int, crew: tuple[int, ...]) -> bool:
        was = self.reference.get(task)
        return was is not None and (abs(start - was[0]) > NEAR or crew != was[1])


@dataclass(slots=True)
class Clock:
    """A safety stop: ``over`` says whether the seconds are used up."""

    seconds: float | None = None
    begun: float = field(default_factory=time.monotonic)

    def left(self) -> float | None:
        return None if self.seconds is None else self.seconds - time.monotonic() + self.begun

    def over(self) -> bool:
        left = self.left()
        return left is not None and left <= 0


class Search:
    """One annealing run over one timetable."""

    def __init__(self, table: Timetable, seed: int, wishes: Wishes | None = None) -> None:
        self.table = table
        self.problem = table.problem
        self.rng = random.Random(seed)  # noqa: S311 (a search, no secret)
        self.wishes = wishes or Wishes()
        self.moved = sum(
            self.wishes.moved(task, start, crew)
            for task, (start, crew) in enumerate(table.slots())
            if start >= 0
        )
        unit = max(1, median(self.problem.miss)) if self.problem.miss else 1
        self._unit = unit
        self._value = _values(self.problem)
        self._orders = _orders(self.problem, self._value)
        self._loose = [t for t in range(len(self.problem.tasks)) if t not in self.wishes.held]
        self._out: list[tuple[int, Slot]] = []
        self._in: list[int] = []

    @cached_property
    def _touching(self) -> list[list[int]]:
        return _touching(self.problem)

    @cached_property
    def _cover(self) -> list[int]:
        return _cover(self.problem)

    @cached_property
    def _minutes(self) -> list[int]:
        return [minute for minute, tasks in enumerate(self._cover) if tasks]

    @property
    def value(self) -> float:
        """Missed and late cost, then closeness."""
        return self.table.cost + MOVED * self.moved

    def run(self, iterations: int, clock: Clock | None = None) -> int:
        """Anneal; the best found is left in the table. Returns the iterations done."""
        if not (self._loose and self._minutes and self.table.cost):
            return 0
        table, chance = self.table, self.rng.random
        best, best_value, value = table.slots(), self.value, self.value
        cooling = log(COLD / HOT) / max(iterations, 1)
        done = 0
        for done in range(iterations):
            if clock is not None and done % 64 == 0 and clock.over():
                break
            temperature = self._unit * HOT * exp(cooling * done)
            moved = self.moved
            self._out, self._in = [], []
            self._ruin()
            self._recreate()
            worse = self.value - value
            if worse > 0 and chance() >= exp(-worse / temperature):
                self._undo(moved)
                continue
            value += worse
            if value < best_value:
                best, best_value = table.slots(), value
        else:
            done = iterations
        table.restore(best)
        return done

    def _undo(self, moved: int) -> None:
        table = self.table
        for task in self._in:
            if table.start[task] >= 0:
                table.remove(task)
        for task, (start, crew) in self._out:
            table.place(task, start, crew)
        self.moved = moved

    def _take_out(self, task: int) -> None:
        """Remove a task, after everything that is only done because it is."""
        table = self.table
        if table.start[task] < 0 or task in self.wishes.held:
            return
        for other in self.problem.needed_by[task]:
            self._take_out(other)
        slot = (table.start[task], table.crew[task])
        self._out.append((task, slot))
        self.moved -= self.wishes.moved(task, *slot)
        table.remove(task)

    def _ruin(self) -> None:
        chance = self.rng.random()
        if self.table.open and chance < 0.3:
            self._make_way()
        elif chance < 0.65:
            self._ruin_around()
        else:
            self._ruin_run()

    def _make_way(self) -> None:
        """Pick a missed task and put it where it pushes out the least."""
        table, rng, problem = self.table, self.rng, self.problem
        missed = bits(table.open & self._cover[rng.choice(self._minutes)])
        if not missed:
            return self._ruin_around()
        task = max(rng.sample(missed, min(3, len(missed))), key=lambda t: self._value[t])
        allowed = problem.allowed[task]
        if not allowed or any(table.start[other] < 0 for other in problem.needs[task]):
            return self._ruin_around()
        starts = bits(allowed)
        best, best_price = None, 0.0
        for start in rng.sample(starts, min(6, len(starts))):
            crew = tuple(rng.sample(problem.able[task], problem.people[task]))
            pushed = self._in_the_way(task, start, crew)
            price = sum(self._value[t] for t in pushed) * (0.5 + rng.random())
            if (best is None or price < best_price) and self.wishes.held.isdisjoint(pushed):
                best, best_price = (start, crew, pushed), price
        if best is None:
            return None
        start, crew, pushed = best
        for other in pushed:
            self._take_out(other)
        minutes = problem.minutes[task]
        if table.starts(task) >> start & 1 and all(
            table.crew_runs(person, minutes) >> start & 1 for person in crew
        ):
            self._put_in(task, start, crew)
        return None

    def _in_the_way(self, task: int, start: int, crew: tuple[int, ...]) -> set[int]:
        """Tasks of these people, or of the same bike, in those minutes; and of its order."""
        table, problem = self.table, self.problem
        end = start + problem.minutes[task]
        pushed = {t for person in crew for t in table.lane[person][start:end]}
        for other in self._touching[task]:
            at = table.start[other]
            if at >= 0 and at < end and at + problem.minutes[other] > start:
                pushed.add(other)
        for other in problem.before[task]:
            if table.start[other] + problem.minutes[other] > start and table.start[other] >= 0:
                pushed.add(other)
        for other in problem.behind[task]:
            if 0 <= table.start[other] < end:
                pushed.add(other)
        pushed.discard(-1)
        return pushed

    def _ruin_around(self) -> None:
        """Take out 2 to 20 tasks nearest in time to some task or minute."""
        table, rng, problem = self.table, self.rng, self.problem
        task = rng.choice(self._loose)
        allowed = problem.allowed[task]
        at = table.start[task]
        if at < 0:
            at = (allowed & -allowed).bit_length() - 1 if allowed else 0
        size = rng.randint(2, 14)
        reach = 1
        found: dict[int, None] = {}
        while len(found) < size and reach < 64:
            for lane in table.lane:
                found.update(dict.fromkeys(lane[max(0, at - reach) : at + reach]))
            found.pop(-1, None)
            reach *= 2
        chosen = list(found)
        if len(chosen) > size:
            chosen = rng.sample(chosen, size)
        for each in chosen:
            self._take_out(each)

    def _ruin_run(self) -> None:
        """Take out everything one to three people do in 5 to 16 minutes."""
        table, rng, problem = self.table, self.rng, self.problem
        task = rng.choice(self._loose)
        at = table.start[task]
        if at < 0:
            allowed = problem.allowed[task]
            at = rng.choice(bits(allowed)) if allowed else 0
        first = max(0, at - rng.randint(0, 8))
        last = first + rng.randint(5, 16)
        people = rng.sample(range(len(table.lane)), min(rng.randint(1, 3), len(table.lane)))
        found = dict.fromkeys(t for p in people for t in table.lane[p][first:last])
        found.pop(-1, None)
        for each in found:
            self._take_out(each)

    def _recreate(self) -> None:
        """Put back what was taken out, and any missed task that the gap could hold."""
        problem, table = self.problem, self.table
        if not self._out:
            return
        fits, cover = 0, self._cover
        for task, (start, _) in self._out:
            fits |= 1 << task | cover[start] | cover[start + problem.minutes[task] - 1]
        candidates = bits(table.open & fits)
        order = self.rng.choice(self._orders)
        if order is None:
            self.rng.shuffle(candidates)
        else:
            noise = self.rng.random
            candidates.sort(key=lambda t: order[t] * (0.8 + 0.4 * noise()))
        left = [task for task in candidates if not self.insert(task)]
        for task in left:
            if problem.needs[task]:
                self.insert(task)

    def insert(self, task: int) -> bool:
        """Put a task at its best free start; False if there is none."""
        table = self.table
        mask = table.starts(task)
        if not mask:
            return False
        mask &= table.crew_starts(task)
        if not mask:
            return False
        for level in self.wishes.levels.get(task, ()):
            if mask & level:
                mask &= level
                break
        start = self._choose(task, mask)
        self._put_in(task, start, self._people(task, start))
        return True

    def fill(self) -> None:
        """Put in whatever still fits, the most worth for its minutes first."""
        density = self._orders[0] or []
        for task in sorted(bits(self.table.open), key=lambda t: (density[t], t)):
            self.insert(task)

    def keep(self, task: int) -> bool:
        """Put a task exactly where the reference has it; False if that is impossible."""
        start, crew = self.wishes.reference[task]
        minutes = self.problem.minutes[task]
        if start < 0 or not self.table.starts(task) >> start & 1:
            return False
        if len(crew) != self.problem.people[task] or not set(crew) <= set(self.problem.able[task]):
            return False
        if not all(self.table.crew_runs(person, minutes) >> start & 1 for person in crew):
            return False
        self._put_in(task, start, crew)
        return True

    def put_at(self, task: int, start: int) -> bool:
        """Put a task at a given start, with whoever is free; False if nobody is."""
        if not self.table.starts(task) >> start & 1:
            return False
        crew = self._people(task, start)
        if crew:
            self._put_in(task, start, crew)
        return bool(crew)

    def _choose(self, task: int, mask: int) -> int:
        """The earliest start mostly, which is also the cheapest; else the last or any."""
        chance = self.rng.random()
        if chance < 0.6 or self.problem.late_rate[task]:
            return (mask & -mask).bit_length() - 1
        if chance < 0.8:
            return mask.bit_length() - 1
        return self.rng.choice(bits(mask))

    def _people(self, task: int, start: int) -> tuple[int, ...]:
        """The reference's people if they are free, else whoever can do least else."""
        was = self.wishes.reference.get(task)
        if was is not None:
            minutes = self.problem.minutes[task]
            if set(was[1]) <= set(self.problem.able[task]) and all(
                self.table.crew_runs(p, minutes) >> start & 1 for p in was[1]
            ):
                return was[1]
        return self.table.free_crew(task, start)

    def _put_in(self, task: int, start: int, crew: tuple[int, ...]) -> None:
        self.table.place(task, start, crew)
        self.moved += self.wishes.moved(task, start, crew)
        self._in.append(task)


def _values(problem: Compiled) -> list[float]:
    """What a task is worth: its own cost and that of what is only done if it is."""
    worth: list[float | None] = [None] * len(problem.tasks)

    def value(task: int) -> float:
        if worth[task] is None:
            worth[task] = problem.miss[task] + sum(value(t) for t in problem.needed_by[task])
        return worth[task] or 0.0

    return [value(task) for task in range(len(problem.tasks))]


def _touching(problem: Compiled) -> list[list[int]]:
    """Each task's companions on the same bike."""
    of_bike: list[list[int]] = [[] for _ in range(problem.bikes)]
    for task, bike in enumerate(problem.bike):
        of_bike[bike].append(task)
    return [of_bike[bike] for bike in problem.bike]


def _cover(problem: Compiled) -> list[int]:
    """For each minute the tasks that may start in it, as a mask over tasks."""
    turns = [0] * (problem.horizon + 2)  # the tasks whose starts begin or end there
    for task, allowed in enumerate(problem.allowed):
        for edge in bits(allowed ^ allowed << 1):
            turns[edge] ^= 1 << task
    return list(accumulate(turns[:-1], xor))


def _orders(problem: Compiled, value: list[float]) -> list[list[float] | None]:
    """Keys to insert by, lowest first: density, worth, deadline, arrival, and none (shuffle)."""
    size = [m * p for m, p in zip(problem.minutes, problem.people, strict=True)]
    density = [-v / s for v, s in zip(value, size, strict=True)]
    last = [float(a.bit_length()) for a in problem.allowed]
    return [density, density, [-v for v in value], last, None, None]
