"""Start every task as early as possible, and give helpers' work to helpers.

The search ends with the first plan whose cost it cannot reduce, and idle time costs nothing.
A left shift makes the schedule nearly active (Giffler and Thompson, Operations Research 8(4),
1960): no task could start earlier unless another is moved. The exception is a task that waits
a few minutes for a helper, to spare the tuner.
"""

from .search import Preferences
from .timetable import CrewTimetable

HELPER_WAIT_MIN = 10  # a task may wait so long for a helper (our judgement)


def left_shift(table: CrewTimetable, preferences: Preferences) -> None:
    """Move every task to an earlier start, in the order of starts. The cost never rises.

    Tasks of the previous plan are not moved: closeness to it is worth more.
    """
    least_skilled = _least_skilled_of(table)
    done = [task for task, start in enumerate(table.start) if start >= 0]
    for task in sorted(done, key=lambda t: (table.start[t], t)):
        if task not in preferences.fixed and task not in preferences.previous_slots:
            latest = table.start[task]
            table.remove(task)
            start = _earliest(table, task, least_skilled[table.problem.able[task]], latest)
            table.place(task, start, table.free_crew(task, start))


def _earliest(table: CrewTimetable, task: int, least_skilled: list[int], latest: int) -> int:
    """The earliest start, or one soon after it at which one of the least skilled is free."""
    free = table.free_starts(task)
    first = _first(free & table.crew_starts(task))
    if table.problem.people[task] > 1:
        return first
    runs = 0
    for person in least_skilled:
        runs |= table.person_starts(person, table.problem.minutes[task])
    without_tuner = _first(free & runs)
    return without_tuner if 0 <= without_tuner <= min(first + HELPER_WAIT_MIN, latest) else first


def _first(mask: int) -> int:
    return (mask & -mask).bit_length() - 1


def _least_skilled_of(table: CrewTimetable) -> dict[tuple[int, ...], list[int]]:
    """For each group of people with a skill, those who can do the fewest kinds of work."""
    kinds = set(table.problem.able)
    count = {p: sum(p in kind for kind in kinds) for kind in kinds for p in kind}
    return {
        kind: [p for p in kind if count[p] == min(count[other] for other in kind)] for kind in kinds
    }
