"""What would reduce what is missed: one more helper, or work moved to another time."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from .model import Assignment, CrewMember, Id, Plan, PlanningDay, PlanningTask, ProblemError, Window
from .planner import replan

HALF_HOUR = 30
HALF_HOURS_TRIED = 4
MAX_MOVED = 3
NO_EFFECT = (0, 0)


@dataclass(frozen=True, slots=True)
class ChangeEffect:
    """The effect of a change to the day: tasks saved and lost, and the cost (lower is better).

    ``first_saved``: how many fewer ``first`` tasks are missed; below 0 if more are.
    """

    saved: tuple[Id, ...]
    lost: tuple[Id, ...]
    cost: int
    cost_before: int
    first_saved: int = 0

    @property
    def gain(self) -> int:
        return self.cost_before - self.cost

    @property
    def rank(self) -> tuple[int, int]:
        """The higher, the better; (0, 0): no effect."""
        return self.first_saved, self.gain


@dataclass(frozen=True, slots=True)
class MovedTasks:
    """Tasks moved to another time, each with its new start, and the effect."""

    starts: tuple[tuple[Id, int], ...]
    effect: ChangeEffect


def effect_of_change(
    day: PlanningDay,
    changed: PlanningDay,
    planned: Plan,
    *,
    now: int | None = None,
    iterations: int = 400,
    seed: int = 1,
) -> ChangeEffect:
    """Which tasks a changed day would save or lose, compared with the plan there is."""
    result = replan(changed, planned, previous_input=day, now=now, iterations=iterations, seed=seed)
    return _effect(planned, result)


def _effect(planned: Plan, changed: Plan) -> ChangeEffect:
    before = {m.task for m in planned.missed}
    after = {m.task for m in changed.missed}
    return ChangeEffect(
        saved=tuple(m.task for m in planned.missed if m.task not in after),
        lost=tuple(m.task for m in changed.missed if m.task not in before),
        cost=changed.cost,
        cost_before=planned.cost,
        first_saved=planned.first_missed - changed.first_missed,
    )


def day_with_helper(
    day: PlanningDay, hours: Window, *, skill: str = "helper", name: Id = "one more"
) -> PlanningDay:
    """The day with one more person, who is here in one window."""
    off = ((0, hours[0]), (hours[1], 10**4))
    return replace(day, crew=(*day.crew, CrewMember(name, frozenset({skill}), off)))


def day_after_departure(day: PlanningDay, person: Id, at: int) -> PlanningDay:
    """The day without one person from a minute on."""
    if person not in {member.id for member in day.crew}:
        raise ProblemError(f"person {person}: not in the crew")
    return replace(
        day,
        crew=tuple(
            replace(m, off=(*m.off, (at, 10**4))) if m.id == person else m for m in day.crew
        ),
    )


def best_helper_hours(
    day: PlanningDay,
    planned: Plan,
    *,
    now: int | None = None,
    length_hours: int = 1,
    iterations: int = 100,
    seed: int = 1,
) -> tuple[Window, ChangeEffect] | None:
    """The hours in which one more helper would save most, and the effect; None: no effect."""
    planned = _searched_again(day, planned, now, iterations, seed)
    missed = {m.task for m in planned.missed}
    starts = _busiest_half_hours(task for task in day.tasks if task.id in missed)
    found = []
    for start in starts:
        hours = (start, start + 60 * length_hours)
        more = day_with_helper(day, hours)
        found.append(
            (hours, effect_of_change(day, more, planned, now=now, iterations=iterations, seed=seed))
        )
    best = max(found, key=lambda each: (*each[1].rank, -each[0][0]), default=None)
    return best if best and best[1].rank > NO_EFFECT else None


def best_tasks_to_move(
    day: PlanningDay,
    planned: Plan,
    elsewhere: Mapping[Id, Sequence[Window]],
    *,
    now: int | None = None,
    iterations: int = 100,
    seed: int = 1,
) -> MovedTasks | None:
    """Up to three tasks which save most when they are moved; None if nothing is saved.

    ``elsewhere``: for some tasks the other windows they may be done in. What is moved is
    still done.
    """
    planned = _searched_again(day, planned, now, iterations, seed)
    missed = {m.task for m in planned.missed}
    tasks = {task.id: task for task in day.tasks}
    best: MovedTasks | None = None
    for begin in _busiest_half_hours(task for task in day.tasks if task.id in missed):
        chosen = _movable_in_hour(planned, tasks, elsewhere, begin)
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
        result = replan(
            changed, left, previous_input=day, now=now, iterations=iterations, seed=seed
        )
        starts = {a.task: a.start for a in result.assignments if a.task in chosen}
        effect = _effect(planned, result)
        if len(starts) == len(chosen) and effect.rank > (best.effect.rank if best else NO_EFFECT):
            best = MovedTasks(
                tuple(sorted(starts.items(), key=lambda s: (s[1], str(s[0])))), effect
            )
    return best


def _searched_again(
    day: PlanningDay, planned: Plan, now: int | None, iterations: int, seed: int
) -> Plan:
    """The plan after a search without the change, so that only the effect of the change counts."""
    again = replan(day, planned, previous_input=day, now=now, iterations=iterations, seed=seed)
    return min(planned, again, key=lambda each: each.rank)


def _movable_in_hour(
    planned: Plan,
    tasks: Mapping[Id, PlanningTask],
    elsewhere: Mapping[Id, Sequence[Window]],
    begin: int,
) -> set[Id]:
    """The planned tasks of an hour that could be done at another time, the most work first."""

    def work(a: Assignment) -> tuple[int, int, tuple[str, str]]:
        task = tasks[a.task]
        return -task.minutes * task.people, a.start, task.order

    there = [
        a
        for a in planned.assignments
        if a.task in elsewhere and begin - HALF_HOUR <= a.start < begin + HALF_HOUR
    ]
    return {a.task for a in sorted(there, key=work)[:MAX_MOVED]}


def _busiest_half_hours(tasks: Iterable[PlanningTask], most: int = HALF_HOURS_TRIED) -> list[int]:
    """The half hours in which the most cost is missed."""
    cost: dict[int, int] = {}
    for task in tasks:
        for first, _ in task.windows:
            begin = first // HALF_HOUR * HALF_HOUR
            cost[begin] = cost.get(begin, 0) + task.miss_cost
    return sorted(sorted(cost, key=lambda begin: (-cost[begin], begin))[:most])
