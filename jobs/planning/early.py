"""Nothing waits without need: each task begins as soon as it can, helpers' work with helpers.

A search ends at the first plan it cannot better in cost, and cost says nothing of an hour
in which somebody stands idle. What is left is close to an active schedule (Giffler and
Thompson, Operations Research 8(4), 1960): no task could begin earlier without moving
another, but for what a tuner is spared. Time to spare stands behind the work, not before it.
"""

from .search import Wishes
from .timetable import Timetable

TUNER_SPARED = 10  # minutes a task waits for somebody who can do nothing else (our judgement)


def early_improve(table: Timetable, wishes: Wishes) -> None:
    """Move every task to an earlier start, in the order of starts; cost never rises.

    Tasks of the plan before stay where they are: closeness comes first.
    """
    least = _least_able(table)
    done = [task for task, start in enumerate(table.start) if start >= 0]
    for task in sorted(done, key=lambda t: (table.start[t], t)):
        if task not in wishes.held and task not in wishes.reference:
            latest = table.start[task]
            table.remove(task)
            start = _earliest(table, task, least[table.problem.able[task]], latest)
            table.place(task, start, table.free_crew(task, start))


def _earliest(table: Timetable, task: int, least: list[int], latest: int) -> int:
    """The first start there is, or one soon after it for those who can do least else."""
    free = table.starts(task)
    first = _first(free & table.crew_starts(task))
    if table.problem.people[task] > 1:
        return first
    runs = 0
    for person in least:
        runs |= table.crew_runs(person, table.problem.minutes[task])
    spared = _first(free & runs)
    return spared if 0 <= spared <= min(first + TUNER_SPARED, latest) else first


def _first(mask: int) -> int:
    return (mask & -mask).bit_length() - 1


def _least_able(table: Timetable) -> dict[tuple[int, ...], list[int]]:
    """By who is able to do a kind of work: the ones of them who can do the fewest kinds."""
    kinds = set(table.problem.able)
    count = {p: sum(p in kind for kind in kinds) for kind in kinds for p in kind}
    return {
        kind: [p for p in kind if count[p] == min(count[other] for other in kind)] for kind in kinds
    }
