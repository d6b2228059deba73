"""What would help: one person more or less, or work that could wait moved out of the way."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from .model import Assignment, CrewMember, Day, Id, Plan, ProblemError, Task, Window
from .planner import replan

HALF_HOUR = 30
TRIES = 4  # half hours looked at, the most pressed
TOGETHER = 3  # tasks moved away at once


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What a change to the day would save and lose, in tasks and in cost (lower is better)."""

    saved: tuple[Id, ...]
    lost: tuple[Id, ...]
    cost: int
    cost_before: int

    @property
    def gain(self) -> int:
        return self.cost_before - self.cost


@dataclass(frozen=True, slots=True)
class Moving:
    """Tasks done at another time than planned, from which minute each, and what that saves."""

    starts: tuple[tuple[Id, int], ...]
    what: WhatIf


def what_if(
    day: Day,
    changed: Day,
    planned: Plan,
    *,
    now: int | None = None,
    iterations: int = 400,
    seed: int = 1,
) -> WhatIf:
    """Which tasks a changed day would save or lose against the plan there is."""
    made = replan(changed, planned, before=day, now=now, iterations=iterations, seed=seed)
    return _compared(planned, made)


def _compared(planned: Plan, made: Plan) -> WhatIf:
    before = {m.task for m in planned.missed}
    after = {m.task for m in made.missed}
    return WhatIf(
        saved=tuple(m.task for m in planned.missed if m.task not in after),
        lost=tuple(m.task for m in made.missed if m.task not in before),
        cost=made.cost,
        cost_before=planned.cost,
    )


def with_helper(day: Day, there: Window, *, skill: str = "helper", name: Id = "one more") -> Day:
    """The day with one more person, there from one minute to another."""
    off = ((0, there[0]), (there[1], 10**4))
    return replace(day, crew=(*day.crew, CrewMember(name, frozenset({skill}), off)))


def leaving(day: Day, person: Id, at: int) -> Day:
    """The day with somebody gone from a minute on."""
    if person not in {member.id for member in day.crew}:
        raise ProblemError(f"person {person}: not in the crew")
    return replace(
        day,
        crew=tuple(
            replace(m, off=(*m.off, (at, 10**4))) if m.id == person else m for m in day.crew
        ),
    )


def helper_hours(
    day: Day,
    planned: Plan,
    *,
    now: int | None = None,
    hours: int = 1,
    iterations: int = 100,
    seed: int = 1,
) -> tuple[Window, WhatIf] | None:
    """The time at which one more helper would save most, and what; None if it saves nothing."""
    planned = _searched_on(day, planned, now, iterations, seed)
    missed = {m.task for m in planned.missed}
    starts = _pressed(task for task in day.tasks if task.id in missed)
    found = []
    for start in starts:
        there = (start, start + 60 * hours)
        more = with_helper(day, there)
        found.append(
            (there, what_if(day, more, planned, now=now, iterations=iterations, seed=seed))
        )
    best = max(found, key=lambda each: (each[1].gain, -each[0][0]), default=None)
    return best if best and best[1].gain > 0 else None


def moved_away(
    day: Day,
    planned: Plan,
    elsewhere: Mapping[Id, Sequence[Window]],
    *,
    now: int | None = None,
    iterations: int = 100,
    seed: int = 1,
) -> Moving | None:
    """Up to three tasks whose moving saves most; None if none saves anything.

    ``elsewhere``: other windows that some tasks may be done in. What is moved is still done.
    """
    planned = _searched_on(day, planned, now, iterations, seed)
    missed = {m.task for m in planned.missed}
    tasks = {task.id: task for task in day.tasks}
    best: Moving | None = None
    for begin in _pressed(task for task in day.tasks if task.id in missed):
        chosen = _in_the_way(planned, tasks, elsewhere, begin)
        if not chosen:
            continue
        moved = tuple(
            replace(task, windows=tuple(elsewhere[task.id]), due=None)
            if task.id in chosen
            else task
            for task in day.tasks
        )
        changed = replace(day, tasks=moved)
        left = replace(
            planned, assignments=tuple(a for a in planned.assignments if a.task not in chosen)
        )
        made = replan(changed, left, before=day, now=now, iterations=iterations, seed=seed)
        starts = {a.task: a.start for a in made.assignments if a.task in chosen}
        what = _compared(planned, made)
        if len(starts) == len(chosen) and what.gain > (best.what.gain if best else 0):
            best = Moving(tuple(sorted(starts.items(), key=lambda s: (s[1], str(s[0])))), what)
    return best


def _searched_on(day: Day, planned: Plan, now: int | None, iterations: int, seed: int) -> Plan:
    """The plan after the same search without the change, so that only the change is praised."""
    again = replan(day, planned, before=day, now=now, iterations=iterations, seed=seed)
    return min(planned, again, key=lambda made: made.cost)


def _in_the_way(
    planned: Plan, tasks: Mapping[Id, Task], elsewhere: Mapping[Id, Sequence[Window]], begin: int
) -> set[Id]:
    """The planned tasks of an hour that could be done elsewhere, those of most work first."""

    def work(a: Assignment) -> tuple[int, int, str]:
        task = tasks[a.task]
        return -task.minutes * task.people, a.start, str(a.task)

    there = [
        a
        for a in planned.assignments
        if a.task in elsewhere and begin - HALF_HOUR <= a.start < begin + HALF_HOUR
    ]
    return {a.task for a in sorted(there, key=work)[:TOGETHER]}


def _pressed(tasks: Iterable[Task], most: int = TRIES) -> list[int]:
    """The half hours in which most cost is missed."""
    cost: dict[int, int] = {}
    for task in tasks:
        for first, _ in task.windows:
            begin = first // HALF_HOUR * HALF_HOUR
            cost[begin] = cost.get(begin, 0) + task.miss_cost
    return sorted(sorted(cost, key=lambda begin: (-cost[begin], begin))[:most])
