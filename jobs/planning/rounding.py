"""From a relaxation's fractions to a plan: each task at the start its mass points to.

For a threshold between 0 and 1 a task's target is the first start at which its cumulated
fraction passes that part of its mass (alpha-points: Phillips, Stein and Wein, Mathematical
Programming 82, 1998). Tasks go in by target where they are well supported, each at the
free start nearest to it, then the rest by cost per person-minute.
"""

from .relaxation import Solved
from .search import Search, Wishes
from .timetable import Slot, Timetable

SUPPORTED = 0.3  # mass from which a task is put in by its target
LEVELS = (1e-6, 2.0, 8.0)  # reduced costs up to which a start belongs to a level


def levels_of(solved: Solved) -> dict[int, tuple[int, ...]]:
    """Per task masks of starts, those of the least reduced cost first, each in the next."""
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


def round_all(table: Timetable, wishes: Wishes, solved: Solved, times: int, seed: int) -> None:
    """Round with so many thresholds; the best plan, or the one there was, stays."""
    best, best_cost = table.slots(), table.cost
    fixed = [slot if task in wishes.held else (-1, ()) for task, slot in enumerate(best)]
    for i in range(times):
        _round(table, wishes, solved, (i + 0.5) / times, fixed, seed + i)
        if table.cost < best_cost:
            best, best_cost = table.slots(), table.cost
    table.restore(best)


def _round(
    table: Timetable, wishes: Wishes, solved: Solved, alpha: float, fixed: list[Slot], seed: int
) -> None:
    table.restore(fixed)
    search = Search(table, seed, wishes)
    targets = {t: found for t in range(len(fixed)) if (found := _target(solved, t, alpha))}
    loose = [t for t in targets if t not in wishes.held and targets[t][1] >= SUPPORTED]
    for task in sorted(loose, key=lambda t: (targets[t][0], t)):
        insert_near(table, task, targets[task][0])
    problem = table.problem
    rest = [t for t in range(len(fixed)) if table.start[t] < 0]
    rest.sort(key=lambda t: (-problem.miss[t] / (problem.minutes[t] * problem.people[t]), t))
    for _turn in range(2):  # once more for what waited for something required
        for task in rest:
            if table.start[task] < 0:
                search.insert(task)


def _target(solved: Solved, task: int, alpha: float) -> tuple[int, float] | None:
    """The start its mass points to, and the mass."""
    of_task = solved.columns.of_task[task]
    mass = sum(solved.x[column] for column in of_task)
    reached = 0.0
    for column in of_task:
        reached += solved.x[column]
        if mass > 1e-6 and reached >= alpha * mass:
            return solved.columns.start[column], mass
    return None


def insert_near(table: Timetable, task: int, target: int) -> None:
    """Put a task at the free start nearest to its target, if there is one."""
    mask = table.starts(task) & table.crew_starts(task)
    if not mask:
        return
    later = mask >> target << target
    earlier = mask ^ later
    start = (later & -later).bit_length() - 1 if later else earlier.bit_length() - 1
    if later and earlier and target - (earlier.bit_length() - 1) < start - target:
        start = earlier.bit_length() - 1
    table.place(task, start, table.free_crew(task, start))
