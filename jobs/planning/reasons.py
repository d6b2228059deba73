"""Why a task is missed or late: for each start of its window, what made it impossible."""

from collections import Counter

from .compiled import bits, span
from .model import Cause, Id, Reason
from .timetable import CrewTimetable

TUNER = "tuner"
MAX_NAMED = 3  # tasks that a reason names


def reason_for(table: CrewTimetable, index: int) -> Reason:
    """The reason for one task. For a late task only the starts before its own count."""
    start, crew = table.start[index], table.crew[index]
    if start < 0:
        return _reason(table, index, -1)
    table.remove(index)
    reason = _reason(table, index, span(0, start))
    table.place(index, start, crew)
    return reason


def missed_tasks(table: CrewTimetable) -> list[int]:
    return bits(table.missed)


def _reason(table: CrewTimetable, index: int, considered: int) -> Reason:
    task = table.problem.tasks[index]
    starts = _by_cause(table, index, considered)
    instead = _work_instead(table, index, starts[_crew_cause(table, index)])
    return Reason(
        blocked=_ranked(starts),
        done_instead=_least_costly(table, instead),
        busy_with=_main_kinds(table, instead),
        busy_until=max((_end(table, t) for t in instead), default=None),
        leaves=task.windows[-1][1] if task.windows else None,
        waits_for=_waits_for(table, index),
    )


def _by_cause(table: CrewTimetable, index: int, considered: int) -> dict[Cause, int]:
    """For each cause a mask of the starts it made impossible. The masks do not overlap.

    Every start from the opening of the first window to the close of the last is looked at:
    between the windows the bike is on track. A start that is too late to be worth it is a choice.
    """
    problem = table.problem
    inside, all_day = _windows(table, index)
    allowed = problem.allowed[index] & considered
    in_order = allowed & table.precedence_starts(index)
    bike_free = in_order & table.bike_starts(index)
    crew_free = bike_free & table.crew_starts(index)
    return {
        Cause.ON_TRACK: all_day & ~inside & considered,
        Cause.PAST: inside & considered & problem.past,
        Cause.PRECEDENCE: allowed & ~in_order,
        Cause.BIKE: in_order & ~bike_free,
        _crew_cause(table, index): bike_free & ~crew_free,
        Cause.CHOICE: crew_free | (inside & considered & ~problem.past & ~allowed),
    }


def _windows(table: CrewTimetable, index: int) -> tuple[int, int]:
    """Starts inside the windows, and from the opening of the first to the close of the last."""
    problem = table.problem
    task, base = problem.tasks[index], problem.base
    windows = task.windows or ((base, base + problem.horizon),)
    first = [max(a - base, 0) for a, _ in windows]
    last = [b - base - task.minutes + 1 for _, b in windows]
    inside = 0
    for a, b in zip(first, last, strict=True):
        inside |= span(a, b)
    return inside, span(min(first), max(last))


def _crew_cause(table: CrewTimetable, index: int) -> Cause:
    task = table.problem.tasks[index]
    if task.people > 1:
        return Cause.TWO_AT_ONCE
    return Cause.TUNER if task.skill == TUNER else Cause.HELPER


def _ranked(starts: dict[Cause, int]) -> tuple[tuple[Cause, int], ...]:
    """The most starts first. What is past comes last: it is the reason only if no other is left."""
    order = list(Cause)
    counts = {cause: mask.bit_count() for cause, mask in starts.items() if mask}
    return tuple(
        sorted(
            counts.items(), key=lambda item: (item[0] is Cause.PAST, -item[1], order.index(item[0]))
        )
    )


def _work_instead(table: CrewTimetable, index: int, starts: int) -> Counter[int]:
    """What the people with the skill did in those starts: the minutes of each task."""
    instead: Counter[int] = Counter()
    if not starts:
        return instead
    problem = table.problem
    first = (starts & -starts).bit_length() - 1
    end = starts.bit_length() - 1 + problem.minutes[index]
    for person in problem.able[index]:
        instead.update(table.task_at[person][first:end])
    del instead[-1]
    return instead


def _least_costly(table: CrewTimetable, instead: Counter[int]) -> tuple[Id, ...]:
    problem = table.problem
    tasks = sorted(instead, key=lambda t: (problem.miss_cost[t], -instead[t], t))
    return tuple(problem.tasks[t].id for t in tasks[:MAX_NAMED])


def _main_kinds(table: CrewTimetable, instead: Counter[int]) -> tuple[str, ...]:
    kinds: Counter[str] = Counter()
    for task, minutes in instead.items():
        kinds[table.problem.tasks[task].kind] += minutes
    return tuple(sorted(kinds, key=lambda kind: (-kinds[kind], kind))[:2])


def _end(table: CrewTimetable, index: int) -> int:
    return table.start[index] + table.problem.minutes[index] + table.problem.base


def _waits_for(table: CrewTimetable, index: int) -> Id | None:
    problem = table.problem
    missing = [o for o in problem.required[index] if table.start[o] < 0]
    waiting = missing or sorted(problem.predecessors[index], key=lambda o: -table.start[o])
    return problem.tasks[waiting[0]].id if waiting else None
