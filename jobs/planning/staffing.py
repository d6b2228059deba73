"""How many helpers a day asks for, and from when to when."""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from .model import CrewMember, Day, Id, Plan, Window
from .planner import plan

MOST = 6  # helpers; nobody brings more
# Parts of the day's worth that one helper more, and an hour of one, must save (our choice).
ENOUGH, AN_HOUR = 0.02, 0.003
MOST_CUTS = 3  # hours taken off an end of a shift
LEAST_SHIFT = 180
SHORTENED = 2  # helpers whose hours are looked at; the others are needed all day
SHIFT = 30  # minutes that shifts are rounded to
TUNER, HELPER = "tuner", "helper"


@dataclass(frozen=True, slots=True)
class WithHelpers:
    """What is left out with so many helpers beside the day's tuners."""

    helpers: int
    missed: tuple[Id, ...]
    cost: int


@dataclass(frozen=True, slots=True)
class Staffing:
    """``tried`` by number of helpers; ``shifts``: from when to when each advised one is needed.

    ``missed``: what is left out with those shifts.
    """

    tried: tuple[WithHelpers, ...]
    shifts: tuple[Window, ...]
    missed: tuple[Id, ...]


def staffing(day: Day, *, most: int = MOST, iterations: int = 300, seed: int = 1) -> Staffing:
    """The fewest helpers after whom one more would save next to nothing, and their hours.

    The day's own helpers count for nothing here, its tuners are there as they are.
    """
    worth = sum(task.miss_cost for task in day.tasks)
    plans = [_planned(day, [()] * n, iterations, seed) for n in range(most + 1)]
    tried = tuple(_tried(day, n, made) for n, made in enumerate(plans))
    costs = [min(each.cost for each in tried[: n + 1]) for n in range(most + 1)]
    number = next((n for n in range(most) if costs[n] - costs[n + 1] <= ENOUGH * worth), most)
    whole = _shifts(day, plans[number], number)

    def with_shifts(shifts: Sequence[Window]) -> WithHelpers:
        off = [((0, first), (last, 10**4)) for first, last in shifts]
        return _tried(day, len(shifts), _planned(day, off, iterations, seed))

    shifts, left = _shortened(whole, with_shifts, round(AN_HOUR * worth))
    return Staffing(tried, tuple(sorted(shifts)), left.missed)


def _shortened(
    shifts: Sequence[Window], with_shifts: Callable[[Sequence[Window]], WithHelpers], worth: int
) -> tuple[Sequence[Window], WithHelpers]:
    """Hours taken off both ends of the shifts, the last helper's first, while that costs little."""
    left = with_shifts(shifts)
    for number in reversed(range(max(len(shifts) - SHORTENED, 0), len(shifts))):
        for earlier, later in ((60, 0), (0, -60)):
            for _ in range(MOST_CUTS):
                first, last = shifts[number]
                cut = (first + earlier, last + later)
                shorter = [*shifts[:number], cut, *shifts[number + 1 :]]
                found = with_shifts(shorter)
                if cut[1] - cut[0] < LEAST_SHIFT or found.cost > left.cost + worth:
                    break
                shifts, left = shorter, found
    return shifts, left


def _planned(day: Day, off: Sequence[tuple[Window, ...]], iterations: int, seed: int) -> Plan:
    """The day with its tuners and as many helpers as there are off times."""
    helpers = [CrewMember(_name(n), frozenset({HELPER}), times) for n, times in enumerate(off)]
    crew = (*(member for member in day.crew if TUNER in member.skills), *helpers)
    able = Counter(skill for member in crew for skill in member.skills)
    tasks = [task for task in day.tasks if able[task.skill] >= task.people]
    known = {task.id for task in tasks}
    possible = tuple(
        replace(task, after=tuple(o for o in task.after if o in known))
        for task in tasks
        if known.issuperset(task.requires)
    )
    return plan(Day(crew, possible), iterations=iterations, seed=seed)


def _tried(day: Day, helpers: int, made: Plan) -> WithHelpers:
    """What is left out of the whole day, also for want of the people it takes."""
    done = {a.task: a.start for a in made.assignments}
    missed = tuple(task for task in day.tasks if task.id not in done)
    late = sum(task.late_cost(done[task.id]) for task in day.tasks if task.id in done)
    return WithHelpers(
        helpers, tuple(task.id for task in missed), late + sum(task.miss_cost for task in missed)
    )


def _name(number: int) -> str:
    return f"~helper {number + 1}"  # after the day's own people in the order of ids


def _shifts(day: Day, made: Plan, number: int) -> tuple[Window, ...]:
    """From each helper's first task to the end of the last, in half hours."""
    minutes = {task.id: task.minutes for task in day.tasks}
    found = []
    for name in map(_name, range(number)):
        own = [a for a in made.assignments if name in a.crew]
        if own:
            first = min(a.start for a in own)
            last = max(a.start + minutes[a.task] for a in own)
            found.append((first // SHIFT * SHIFT, -(-last // SHIFT) * SHIFT))
    return tuple(sorted(found))
