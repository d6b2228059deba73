"""The day as arrays and bit masks: what the search works on.

Rows come in the order of their ids, so the order they were read in changes nothing.
Minutes are counted from ``base``; bit ``m`` of a mask stands for minute ``base + m``.
A mask of starts has a bit for each minute a task may start at.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from .model import Assignment, Day, Id, ProblemError, Task, Window
from .problem import day_check


def span(start: int, end: int) -> int:
    """Bits ``start`` up to, not including, ``end``."""
    return ((1 << (end - start)) - 1) << start if end > start else 0


def run_shifts(minutes: int) -> tuple[int, ...]:
    """The shifts that leave only starts of ``minutes`` free bits, by doubling."""
    shifts, covered = [], 1
    while covered < minutes:
        step = min(covered, minutes - covered)
        shifts.append(step)
        covered += step
    return tuple(shifts)


def bits(mask: int) -> list[int]:
    """The positions of the bits that are set, lowest first."""
    found = []
    while mask:
        low = mask & -mask
        found.append(low.bit_length() - 1)
        mask ^= low
    return found


@dataclass(frozen=True, slots=True)
class Compiled:
    """Index arrays of one day; tasks, persons and bikes are small integers."""

    base: int
    horizon: int
    tasks: tuple[Task, ...]
    crew_ids: tuple[Id, ...]
    minutes: list[int]
    people: list[int]
    bike: list[int]
    bikes: int
    miss: list[int]
    allowed: list[int]
    able: list[tuple[int, ...]]
    crew_free: list[int]
    before: list[tuple[int, ...]]
    needs: list[tuple[int, ...]]
    behind: list[tuple[int, ...]]
    needed_by: list[tuple[int, ...]]
    late_from: list[int]
    late_rate: list[int]
    shifts: dict[int, tuple[int, ...]]
    index: dict[Id, int]
    crew_index: dict[Id, int]

    def cost(self, task: int, start: int) -> int:
        """Late cost of a start; the due minute is folded into ``late_from``."""
        late = start - self.late_from[task]
        return self.late_rate[task] * late if late > 0 else 0


def day_compile(day: Day, *, now: int | None = None, locked: Iterable[Assignment] = ()) -> Compiled:
    """Compile a checked day. Nothing that is not locked starts before ``now``."""
    day_check(day)
    locked = tuple(locked)
    tasks = tuple(sorted(day.tasks, key=lambda t: str(t.id)))
    crew = tuple(sorted(day.crew, key=lambda m: str(m.id)))
    index = {task.id: i for i, task in enumerate(tasks)}
    base, end = _extent(tasks, locked, now)
    earliest = max(now - base, 0) if now is not None else 0
    floor = (1 << earliest) - 1
    bike_ids = sorted({str(task.bike) for task in tasks})
    bike_index = {bike: i for i, bike in enumerate(bike_ids)}
    before = [tuple(sorted({index[o] for o in (*t.after, *t.requires)})) for t in tasks]
    able = {skill: _able(skill, crew) for skill in {task.skill for task in tasks}}
    needs = [tuple(sorted({index[o] for o in t.requires})) for t in tasks]
    return Compiled(
        base=base,
        horizon=end - base,
        tasks=tasks,
        crew_ids=tuple(member.id for member in crew),
        minutes=[t.minutes for t in tasks],
        people=[t.people for t in tasks],
        bike=[bike_index[str(t.bike)] for t in tasks],
        bikes=len(bike_ids),
        miss=[t.miss_cost for t in tasks],
        allowed=[_starts(t, base, end) & ~floor for t in tasks],
        able=[able[t.skill] for t in tasks],
        crew_free=[_free(m.off, base, end) for m in crew],
        before=before,
        needs=needs,
        behind=_inverse(before),
        needed_by=_inverse(needs),
        late_from=[(t.due if t.due is not None else end) - t.minutes - base for t in tasks],
        late_rate=[t.late_cost_per_min if t.due is not None else 0 for t in tasks],
        shifts={m: run_shifts(m) for m in sorted({t.minutes for t in tasks})},
        index=index,
        crew_index={member.id: i for i, member in enumerate(crew)},
    )


def _extent(
    tasks: Sequence[Task], locked: Sequence[Assignment], now: int | None
) -> tuple[int, int]:
    """The first and last minute anything can happen at.

    A day with a task that may be done any time is as long as all its work one after another.
    """
    minutes = {task.id: task.minutes for task in tasks}
    starts = [w[0] for t in tasks for w in t.windows] + [a.start for a in locked]
    ends = [w[1] for t in tasks for w in t.windows]
    for held in locked:
        if held.task not in minutes:
            raise ProblemError(f"task {held.task}: locked, but not in the problem")
        ends.append(held.start + minutes[held.task])
    open_end = any(not t.windows for t in tasks)
    base = min([0 if open_end else 10**9, *starts], default=0)
    base = base if base < 10**9 else 0
    end = max([base + 1, *ends])
    if open_end:
        end = max(end, now or 0) + sum(minutes.values())
    return base, end


def _starts(task: Task, base: int, end: int) -> int:
    mask = 0
    for first, last in task.windows or ((base, end),):
        mask |= span(first - base, last - task.minutes - base + 1)
    return mask


def _able(skill: str, crew: Sequence) -> tuple[int, ...]:
    """Who can do it, those with the fewest skills first: a tuner is kept for a tuner's work."""
    able = [i for i, member in enumerate(crew) if skill in member.skills]
    return tuple(sorted(able, key=lambda i: (len(crew[i].skills), i)))


def _free(off: Iterable[Window], base: int, end: int) -> int:
    free = span(0, end - base)
    for first, last in off:
        free &= ~span(max(first - base, 0), min(last, end) - base)
    return free


def _inverse(lists: Sequence[tuple[int, ...]]) -> list[tuple[int, ...]]:
    inverse: list[list[int]] = [[] for _ in lists]
    for i, others in enumerate(lists):
        for other in others:
            inverse[other].append(i)
    return [tuple(each) for each in inverse]
