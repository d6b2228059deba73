"""Why a task is missed or late: what stood in its way at each start of its window."""

from collections import Counter

from .compiled import bits, span
from .model import Cause, Id, Reason
from .timetable import Timetable

TUNER = "tuner"
NAMED = 3  # how many tasks a reason names


def reason_for(table: Timetable, index: int) -> Reason:
    """The reason for one task: for a late one only of the starts before its own count."""
    start, crew = table.start[index], table.crew[index]
    if start < 0:
        return _reason(table, index, -1)
    table.remove(index)
    reason = _reason(table, index, span(0, start))
    table.place(index, start, crew)
    return reason


def open_tasks(table: Timetable) -> list[int]:
    return bits(table.open)


def _reason(table: Timetable, index: int, considered: int) -> Reason:
    task = table.problem.tasks[index]
    starts = _by_cause(table, index, considered)
    stood = _stood_in_place(table, index, starts[_crew_cause(table, index)])
    return Reason(
        blocked=_ranked(starts),
        took_place=_least_costly(table, stood),
        busy_with=_main_kinds(table, stood),
        busy_until=max((_end(table, t) for t in stood), default=None),
        leaves=task.windows[-1][1] if task.windows else None,
        waits_for=_waits_for(table, index),
    )


def _by_cause(table: Timetable, index: int, considered: int) -> dict[Cause, int]:
    """For each cause the starts it took, as masks that do not overlap.

    Every start from the first window's opening to the last one's close is looked at: in
    the gaps between windows the bike is on track.
    """
    problem = table.problem
    inside, hull = _windows(table, index)
    allowed = problem.allowed[index] & considered
    ordered = allowed & table.between(index)
    beside = ordered & table.bike_runs(index)
    manned = beside & table.crew_starts(index)
    return {
        Cause.ON_TRACK: hull & ~inside & considered,
        Cause.PAST: inside & considered & ~allowed,
        Cause.PRECEDENCE: allowed & ~ordered,
        Cause.BIKE: ordered & ~beside,
        _crew_cause(table, index): beside & ~manned,
        Cause.CHOICE: manned,
    }


def _windows(table: Timetable, index: int) -> tuple[int, int]:
    """Starts inside the windows, and from the first's opening to the last's close."""
    problem = table.problem
    task, base = problem.tasks[index], problem.base
    windows = task.windows or ((base, base + problem.horizon),)
    first = [max(a - base, 0) for a, _ in windows]
    last = [b - base - task.minutes + 1 for _, b in windows]
    inside = 0
    for a, b in zip(first, last, strict=True):
        inside |= span(a, b)
    return inside, span(min(first), max(last))


def _crew_cause(table: Timetable, index: int) -> Cause:
    task = table.problem.tasks[index]
    if task.people > 1:
        return Cause.TWO_AT_ONCE
    return Cause.TUNER if task.skill == TUNER else Cause.HELPER


def _ranked(starts: dict[Cause, int]) -> tuple[tuple[Cause, int], ...]:
    """Most starts first. What is past comes last: it is the reason only if nothing is left."""
    order = list(Cause)
    counts = {cause: mask.bit_count() for cause, mask in starts.items() if mask}
    return tuple(
        sorted(
            counts.items(), key=lambda item: (item[0] is Cause.PAST, -item[1], order.index(item[0]))
        )
    )


def _stood_in_place(table: Timetable, index: int, starts: int) -> Counter[int]:
    """What the able people did from the first of those starts to the last, in minutes."""
    stood: Counter[int] = Counter()
    if not starts:
        return stood
    problem = table.problem
    first = (starts & -starts).bit_length() - 1
    end = starts.bit_length() - 1 + problem.minutes[index]
    for person in problem.able[index]:
        stood.update(table.lane[person][first:end])
    del stood[-1]
    return stood


def _least_costly(table: Timetable, stood: Counter[int]) -> tuple[Id, ...]:
    problem = table.problem
    took = sorted(stood, key=lambda t: (problem.miss[t], -stood[t], t))
    return tuple(problem.tasks[t].id for t in took[:NAMED])


def _main_kinds(table: Timetable, stood: Counter[int]) -> tuple[str, ...]:
    kinds: Counter[str] = Counter()
    for task, minutes in stood.items():
        kinds[table.problem.tasks[task].kind] += minutes
    return tuple(sorted(kinds, key=lambda kind: (-kinds[kind], kind))[:2])


def _end(table: Timetable, index: int) -> int:
    return table.start[index] + table.problem.minutes[index] + table.problem.base


def _waits_for(table: Timetable, index: int) -> Id | None:
    problem = table.problem
    missing = [o for o in problem.needs[index] if table.start[o] < 0]
    waiting = missing or sorted(problem.before[index], key=lambda o: -table.start[o])
    return problem.tasks[waiting[0]].id if waiting else None
