"""How many helpers a day needs, and from when to when."""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from .model import CrewMember, Id, Plan, PlanningDay, Window
from .planner import plan

MAX_HELPERS = 6
# What one more helper, and one more hour, must save: a part of the worth of all tasks
# (our choice).
MIN_GAIN_OF_HELPER, MIN_GAIN_OF_HOUR = 0.02, 0.003
MOST_CUTS = 3  # of one hour, at each end of a shift
MIN_SHIFT = 180  # minutes
HELPERS_SHORTENED = 2  # the others are needed all day
SHIFT_STEP = 30  # minutes; shifts begin and end at a multiple of it
TUNER, HELPER = "tuner", "helper"


@dataclass(frozen=True, slots=True)
class StaffingOption:
    """A number of helpers beside the tuners of the day, with what is missed and the cost."""

    helpers: int
    missed: tuple[Id, ...]
    cost: int
    first_missed: int = 0


@dataclass(frozen=True, slots=True)
class Staffing:
    """``tried``: one option per number of helpers. ``shifts``: the hours of each advised helper.

    ``missed``: what is missed with those shifts.
    """

    tried: tuple[StaffingOption, ...]
    shifts: tuple[Window, ...]
    missed: tuple[Id, ...]


def staffing(
    day: PlanningDay, *, most: int = MAX_HELPERS, iterations: int = 300, seed: int = 1
) -> Staffing:
    """The number of helpers after which one more saves almost nothing, and their hours.

    One more that saves a ``first`` task is never too many.

    The helpers of the day itself are ignored; its tuners are kept.
    """
    worth = sum(task.miss_cost for task in day.tasks)
    plans = [_planned(day, [()] * n, iterations, seed) for n in range(most + 1)]
    tried = tuple(_option(day, n, each) for n, each in enumerate(plans))
    costs = [min(each.cost for each in tried[: n + 1]) for n in range(most + 1)]
    least = min(each.first_missed for each in tried)
    enough = next(n for n, each in enumerate(tried) if each.first_missed == least)
    number = next(
        (n for n in range(enough, most) if costs[n] - costs[n + 1] <= MIN_GAIN_OF_HELPER * worth),
        most,
    )
    full_shifts = _shifts(day, plans[number], number)

    def with_shifts(shifts: Sequence[Window]) -> StaffingOption:
        off = [((0, first), (last, 10**4)) for first, last in shifts]
        return _option(day, len(shifts), _planned(day, off, iterations, seed))

    shifts, left = _shortened(full_shifts, with_shifts, round(MIN_GAIN_OF_HOUR * worth))
    return Staffing(tried, tuple(sorted(shifts)), left.missed)


def _shortened(
    shifts: Sequence[Window], with_shifts: Callable[[Sequence[Window]], StaffingOption], worth: int
) -> tuple[Sequence[Window], StaffingOption]:
    """Shorten the shifts at both ends, the last helper's first, as long as that costs little."""
    left = with_shifts(shifts)
    for number in reversed(range(max(len(shifts) - HELPERS_SHORTENED, 0), len(shifts))):
        for earlier, later in ((60, 0), (0, -60)):
            for _ in range(MOST_CUTS):
                first, last = shifts[number]
                cut = (first + earlier, last + later)
                shorter = [*shifts[:number], cut, *shifts[number + 1 :]]
                found = with_shifts(shorter)
                dearer = found.cost > left.cost + worth or found.first_missed > left.first_missed
                if cut[1] - cut[0] < MIN_SHIFT or dearer:
                    break
                shifts, left = shorter, found
    return shifts, left


def _planned(
    day: PlanningDay, off: Sequence[tuple[Window, ...]], iterations: int, seed: int
) -> Plan:
    """A plan with the tuners of the day and one helper for each entry of ``off``."""
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
    return plan(PlanningDay(crew, possible), iterations=iterations, seed=seed)


def _option(day: PlanningDay, helpers: int, plan: Plan) -> StaffingOption:
    """The option, with everything missed: also tasks that this crew is too small for."""
    done = {a.task: a.start for a in plan.assignments}
    missed = tuple(task for task in day.tasks if task.id not in done)
    late = sum(task.late_cost(done[task.id]) for task in day.tasks if task.id in done)
    return StaffingOption(
        helpers,
        tuple(task.id for task in missed),
        late + sum(task.miss_cost for task in missed),
        sum(task.first for task in missed),
    )


def _name(number: int) -> str:
    return f"~helper {number + 1}"  # sorted after the people of the day


def _shifts(day: PlanningDay, plan: Plan, number: int) -> tuple[Window, ...]:
    """For each helper the hours from the first task to the end of the last, in half hours."""
    minutes = {task.id: task.minutes for task in day.tasks}
    found = []
    for name in map(_name, range(number)):
        own = [a for a in plan.assignments if name in a.crew]
        if own:
            first = min(a.start for a in own)
            last = max(a.start + minutes[a.task] for a in own)
            found.append((first // SHIFT_STEP * SHIFT_STEP, -(-last // SHIFT_STEP) * SHIFT_STEP))
    return tuple(sorted(found))
