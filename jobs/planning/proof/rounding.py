"""A plan from the fractions of a relaxation.

For a threshold alpha between 0 and 1 the target of a task is the first start at which its
cumulated fraction reaches that part of its mass, the sum of its fractions (alpha-points:
Phillips, Stein and Wein, Mathematical Programming 82, 1998). First the tasks with enough mass
are placed at the free start nearest to the target, in the order of targets; then the rest by
cost per person-minute.
"""

from ..search import Preferences, Search
from ..timetable import CrewTimetable, TaskSlot
from .relaxation import Solution

MIN_MASS = 0.3  # of a task that is placed by its target
LEVELS = (1e-6, 2.0, 8.0)  # reduced costs up to which a start belongs to a level


def start_levels(solved: Solution) -> dict[int, tuple[int, ...]]:
    """For each task masks of starts by reduced cost; each contains the one before it."""
    levels: dict[int, tuple[int, ...]] = {}
    columns = solved.columns
    for task, of_task in enumerate(columns.of_task):
        masks = [0] * len(LEVELS)
        for column in of_task:
            for i, limit in enumerate(LEVELS):
                if solved.x[column] > 1e-6 or solved.reduced[column] <= limit:
                    masks[i] |= 1 << columns.start[column]
        levels[task] = tuple(masks)
    return levels


def round_solution(
    table: CrewTimetable, preferences: Preferences, solved: Solution, times: int, seed: int
) -> None:
    """Round with so many thresholds. The best plan stays, or the one that was in the table."""
    best, best_cost = table.snapshot(), table.cost
    fixed = [slot if task in preferences.fixed else (-1, ()) for task, slot in enumerate(best)]
    for i in range(times):
        _round(table, preferences, solved, (i + 0.5) / times, fixed, seed + i)
        if table.cost < best_cost:
            best, best_cost = table.snapshot(), table.cost
    table.restore(best)


def _round(
    table: CrewTimetable,
    preferences: Preferences,
    solved: Solution,
    alpha: float,
    fixed: list[TaskSlot],
    seed: int,
) -> None:
    problem = table.problem
    table.restore(fixed)
    search = Search(table, seed, preferences)
    targets = {t: found for t in range(len(fixed)) if (found := _target(solved, t, alpha))}
    by_target = [t for t in targets if t not in preferences.fixed and targets[t][1] >= MIN_MASS]
    for task in sorted(by_target, key=lambda t: (t not in problem.first, targets[t][0], t)):
        insert_near(table, task, targets[task][0])
    rest = [t for t in range(len(fixed)) if table.start[t] < 0]
    rest.sort(key=lambda t: (-problem.miss_cost[t] / (problem.minutes[t] * problem.people[t]), t))
    for _ in range(2):  # again for tasks whose required tasks came later
        for task in rest:
            if table.start[task] < 0:
                search.insert(task)


def _target(solved: Solution, task: int, alpha: float) -> tuple[int, float] | None:
    """The target of a task, and its mass."""
    of_task = solved.columns.of_task[task]
    mass = sum(solved.x[column] for column in of_task)
    reached = 0.0
    for column in of_task:
        reached += solved.x[column]
        if mass > 1e-6 and reached >= alpha * mass:
            return solved.columns.start[column], mass
    return None


def insert_near(table: CrewTimetable, task: int, target: int) -> None:
    """Place a task at the free start nearest to its target, if there is one."""
    mask = table.free_starts(task) & table.crew_starts(task)
    if not mask:
        return
    later = mask >> target << target
    earlier = mask ^ later
    start = (later & -later).bit_length() - 1 if later else earlier.bit_length() - 1
    if later and earlier and target - (earlier.bit_length() - 1) < start - target:
        start = earlier.bit_length() - 1
    table.place(task, start, table.free_crew(task, start))
