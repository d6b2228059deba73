"""Blocks: tasks that one person does one after another, in an order that may be changed.

Each task of a block can be done at any time within it, so a new order affects nobody else.
The order is chosen for less lateness, then for a shorter walk.
"""

from collections.abc import Iterable

from .search import Preferences, TimeLimit
from .sequence import SequenceJob, block_order
from .timetable import CrewTimetable


def reduce_lateness(
    table: CrewTimetable, preferences: Preferences, rounds: int, seed: int, time_limit: TimeLimit
) -> None:
    """Improve the order of every block in which a task is late."""
    for person in range(len(table.task_at)):
        for block in _blocks(table, person, preferences.fixed):
            if any(table.late_cost[task] for task in block):
                jobs = _jobs(table, block)
                order = block_order(jobs, list(range(len(block))), rounds, seed, time_limit.is_over)
                _put_in_order(table, person, block, [block[i] for i in order])


def shorten_walk(table: CrewTimetable, preferences: Preferences) -> None:
    """Order the blocks in which nothing can be late so that the walk between bays is short.

    Tasks of the previous plan are not moved: closeness to it is worth more.
    """
    fixed = preferences.fixed | set(preferences.previous_slots)
    for person in range(len(table.task_at)):
        bay: int | None = None
        for block in _blocks(table, person, fixed):
            places = [table.problem.tasks[t].place for t in block]
            if all(place is not None for place in places) and not _may_be_late(table, block):
                _put_in_order(table, person, block, _nearest_first(table, block, bay))
            bay = table.problem.tasks[_last(table, block)].place


def is_one_block(table: CrewTimetable) -> bool:
    """Whether the whole plan is one block and nothing is missed: only the order matters."""
    blocks = [b for p in range(len(table.task_at)) for b in _blocks(table, p, frozenset())]
    return not table.missed and len(blocks) == 1 and len(blocks[0]) == len(table.start)


def _blocks(table: CrewTimetable, person: int, fixed: Iterable[int]) -> list[list[int]]:
    """Runs of two or more tasks that are each allowed anywhere in the run."""
    fixed = set(fixed)
    blocks: list[list[int]] = []
    run: list[int] = []
    for task in _in_order(table, person):
        if run and _extends_run(table, run, task, fixed):
            run.append(task)
            continue
        blocks.append(run)
        run = [] if _is_fixed(table, task, fixed) else [task]
    return [block for block in [*blocks, run] if len(block) > 1]


def _in_order(table: CrewTimetable, person: int) -> list[int]:
    tasks = dict.fromkeys(table.task_at[person])
    tasks.pop(-1, None)
    return list(tasks)


def _is_fixed(table: CrewTimetable, task: int, fixed: set[int]) -> bool:
    problem = table.problem
    one_person = len(table.crew[task]) == 1
    return (
        task in fixed
        or not one_person
        or bool(problem.predecessors[task] or problem.followers[task])
    )


def _extends_run(table: CrewTimetable, run: list[int], task: int, fixed: set[int]) -> bool:
    problem = table.problem
    first, end = table.start[run[0]], table.start[task] + problem.minutes[task]
    if _is_fixed(table, task, fixed):
        return False
    if table.start[task] != table.start[run[-1]] + problem.minutes[run[-1]]:
        return False
    if problem.bike[task] in {problem.bike[t] for t in run}:
        return False
    return all(_fits_anywhere(table, t, first, end) for t in (*run, task))


def _fits_anywhere(table: CrewTimetable, task: int, first: int, end: int) -> bool:
    """Whether the task may be done at any time from ``first`` to ``end``."""
    problem = table.problem
    minutes = problem.minutes[task]
    starts = ((1 << (end - minutes - first + 1)) - 1) << first
    if problem.allowed[task] & starts != starts:
        return False
    own = ((1 << minutes) - 1) << table.start[task]
    block = ((1 << (end - first)) - 1) << first
    return (table.bike_free[problem.bike[task]] | own) & block == block


def _jobs(table: CrewTimetable, block: list[int]) -> list[SequenceJob]:
    problem = table.problem
    first = table.start[block[0]]
    return [
        SequenceJob(
            problem.minutes[t],
            problem.late_rate[t],
            problem.late_from[t] + problem.minutes[t] - first,
        )
        for t in block
    ]


def _may_be_late(table: CrewTimetable, block: list[int]) -> bool:
    """Whether a task would be late at the end of the block."""
    end = table.start[block[-1]] + table.problem.minutes[block[-1]]
    return any(table.problem.cost(t, end - table.problem.minutes[t]) for t in block)


def _nearest_first(table: CrewTimetable, block: list[int], bay: int | None) -> list[int]:
    place = {t: table.problem.tasks[t].place or 0 for t in block}
    left, order = list(block), []
    at = place[block[0]] if bay is None else bay
    while left:
        nearest = min(left, key=lambda t: (abs(place[t] - at), left.index(t)))
        left.remove(nearest)
        order.append(nearest)
        at = place[nearest]
    return order


def _last(table: CrewTimetable, block: list[int]) -> int:
    return max(block, key=lambda t: table.start[t])


def _put_in_order(table: CrewTimetable, person: int, block: list[int], order: list[int]) -> None:
    """Place the tasks of a block in a new order, from the same start."""
    start = min(table.start[t] for t in block)
    for task in block:
        table.remove(task)
    for task in order:
        table.place(task, start, (person,))
        start += table.problem.minutes[task]
