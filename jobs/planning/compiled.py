"""The day as lists and bit masks, the form in which the search uses it.

Tasks and people are sorted by their names or ids, so that the order of the input changes nothing.
Minutes are counted from ``base``: bit ``m`` of a mask stands for minute ``base + m``.
A mask of starts has a bit for each minute in which a task may start.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from .input_check import day_check
from .model import Assignment, CrewMember, Id, PlanningDay, PlanningTask, ProblemError, Window


def span(start: int, end: int) -> int:
    """A mask with the bits from ``start`` up to, but not including, ``end``."""
    return ((1 << (end - start)) - 1) << start if end > start else 0


def run_shifts(minutes: int) -> tuple[int, ...]:
    """Shifts for a mask of free minutes, so that ``mask &= mask >> shift`` for each of them
    leaves the starts of runs of ``minutes`` free minutes."""
    shifts, covered = [], 1
    while covered < minutes:
        step = min(covered, minutes - covered)
        shifts.append(step)
        covered += step
    return tuple(shifts)


def bits(mask: int) -> list[int]:
    """The positions of the bits that are set, the lowest first."""
    found = []
    while mask:
        low = mask & -mask
        found.append(low.bit_length() - 1)
        mask ^= low
    return found


@dataclass(frozen=True, slots=True)
class CompiledDay:
    """One day with tasks, people and bikes as numbers: the place in a sorted list.

    A list has one value per task, ``crew_free`` one per person.
    """

    base: int  # minute of the day that bit 0 stands for
    horizon: int  # minutes from base to the end
    tasks: tuple[PlanningTask, ...]
    crew_ids: tuple[Id, ...]
    minutes: list[int]
    people: list[int]
    bike: list[int]
    bikes: int
    miss_cost: list[int]  # of a ``first`` task with ``first_weight`` added
    allowed: list[int]  # mask of starts inside the windows, not past and not too late
    past: int  # mask of the minutes before now
    able: list[tuple[int, ...]]  # people with the skill
    crew_free: list[int]  # mask of the minutes in which the person is here
    predecessors: list[tuple[int, ...]]  # of ``after`` and ``requires``
    required: list[tuple[int, ...]]  # of ``requires``
    followers: list[tuple[int, ...]]  # the inverse of predecessors
    required_by: list[tuple[int, ...]]  # the inverse of required
    late_from: list[int]  # the last start that is not late
    late_rate: list[int]  # cost per minute after that
    shifts: dict[int, tuple[int, ...]]  # by minutes, see ``run_shifts``
    index: dict[Id, int]
    crew_index: dict[Id, int]
    first: frozenset[int]  # the ``first`` tasks
    first_weight: int  # more than any plan can cost

    def rank(self, cost: int) -> tuple[int, int]:
        """A sum of ``miss_cost`` and lateness as the ``first`` tasks missed and the cost."""
        return divmod(cost, self.first_weight)

    def cost(self, task: int, start: int) -> int:
        """The cost of lateness of a start."""
        late = start - self.late_from[task]
        return self.late_rate[task] * late if late > 0 else 0


def day_compile(
    day: PlanningDay, *, now: int | None = None, locked: Iterable[Assignment] = ()
) -> CompiledDay:
    """Check a day and convert it. Only what is locked may start before ``now``.

    Raises ProblemError.
    """
    day_check(day)
    locked = tuple(locked)
    tasks = tuple(sorted(day.tasks, key=lambda t: t.order))
    crew = tuple(sorted(day.crew, key=lambda m: m.order))
    index = {task.id: i for i, task in enumerate(tasks)}
    base, end = _extent(tasks, locked, now)
    earliest = max(now - base, 0) if now is not None else 0
    past = (1 << earliest) - 1
    bike_ids = sorted({str(task.bike) for task in tasks})
    bike_index = {bike: i for i, bike in enumerate(bike_ids)}
    predecessors = [tuple(sorted({index[o] for o in (*t.after, *t.requires)})) for t in tasks]
    able = {skill: _able(skill, crew) for skill in {task.skill for task in tasks}}
    required = [tuple(sorted({index[o] for o in t.requires})) for t in tasks]
    required_by = _inverse(required)
    first_weight = _more_than_any_cost(tasks, end)
    miss_cost = [t.miss_cost + first_weight * t.first for t in tasks]
    starts = [_starts(t, base, end) & ~past for t in tasks]
    return CompiledDay(
        base=base,
        horizon=end - base,
        tasks=tasks,
        crew_ids=tuple(member.id for member in crew),
        minutes=[t.minutes for t in tasks],
        people=[t.people for t in tasks],
        bike=[bike_index[str(t.bike)] for t in tasks],
        bikes=len(bike_ids),
        miss_cost=miss_cost,
        allowed=[
            _not_too_late(i, tasks, required_by, starts, miss_cost, base) for i in range(len(tasks))
        ],
        past=past,
        able=[able[t.skill] for t in tasks],
        crew_free=[_free(m.off, base, end) for m in crew],
        predecessors=predecessors,
        required=required,
        followers=_inverse(predecessors),
        required_by=required_by,
        late_from=[(t.due if t.due is not None else end) - t.minutes - base for t in tasks],
        late_rate=[t.late_cost_per_min if t.due is not None else 0 for t in tasks],
        shifts={m: run_shifts(m) for m in sorted({t.minutes for t in tasks})},
        index=index,
        crew_index={member.id: i for i, member in enumerate(crew)},
        first=frozenset(i for i, t in enumerate(tasks) if t.first),
        first_weight=first_weight,
    )


def _more_than_any_cost(tasks: Sequence[PlanningTask], end: int) -> int:
    """One more than the cost of a day on which all goes as badly as it can.

    With this weight on each ``first`` task one whole number orders plans as a rule wants it: a
    plan that misses fewer of them is always less, and nothing else can make up for one.
    """
    return 1 + sum(max(t.miss_cost, t.late_cost(end - t.minutes)) for t in tasks)


def _extent(
    tasks: Sequence[PlanningTask], locked: Sequence[Assignment], now: int | None
) -> tuple[int, int]:
    """The first minute and the end of the day that is planned.

    A day with a task that has no windows is long enough for all its work one after another.
    """
    minutes = {task.id: task.minutes for task in tasks}
    starts = [w[0] for t in tasks for w in t.windows] + [a.start for a in locked]
    ends = [w[1] for t in tasks for w in t.windows]
    for assignment in locked:
        if assignment.task not in minutes:
            raise ProblemError(f"task {assignment.task}: locked, but not in the problem")
        ends.append(assignment.start + minutes[assignment.task])
    no_windows = any(not t.windows for t in tasks)
    base = min([0 if no_windows else 10**9, *starts], default=0)
    base = base if base < 10**9 else 0
    end = max([base + 1, *ends])
    if no_windows:
        end = max(end, now or 0) + sum(minutes.values())
    return base, end


def _starts(task: PlanningTask, base: int, end: int) -> int:
    mask = 0
    for first, last in task.windows or ((base, end),):
        mask |= span(first - base, last - task.minutes - base + 1)
    return mask


def _not_too_late(
    task: int,
    tasks: Sequence[PlanningTask],
    required_by: Sequence[tuple[int, ...]],
    starts: Sequence[int],
    miss_cost: Sequence[int],
    base: int,
) -> int:
    """The starts of a task whose lateness costs less than leaving it out.

    With it goes what requires it and can still be done after it. A plan with a later start is
    never better than the same plan without these tasks.
    """
    one, last = tasks[task], starts[task].bit_length() - 1
    if one.late_cost(base + last) < max(miss_cost[task], 1):
        return starts[task]
    waiting = _all_that_require(task, required_by)
    for start in bits(starts[task]):
        possible = (other for other in waiting if starts[other] >> start + one.minutes)
        lost = miss_cost[task] + sum(miss_cost[other] for other in possible)
        if one.late_cost(base + start) >= max(lost, 1):
            return starts[task] & span(0, start)
    return starts[task]


def _all_that_require(task: int, required_by: Sequence[tuple[int, ...]]) -> set[int]:
    """The tasks that require a task, directly or through others."""
    found: set[int] = set()
    more = set(required_by[task])
    while more:
        found |= more
        more = {other for each in more for other in required_by[each]} - found
    return found


def _able(skill: str, crew: Sequence[CrewMember]) -> tuple[int, ...]:
    """The people with a skill, those with the fewest skills first.

    So a helper is taken before a tuner, who is needed for a tuner's work.
    """
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
