"""Blocks: work one person does without a break, in an order that may be changed freely.

A block's tasks can each be done anywhere within it, so changing their order touches
nobody else. Orders are chosen for less lateness, then for a shorter walk.
"""

from collections.abc import Iterable

from .search import Clock, Wishes
from .sequence import Job, block_order
from .timetable import Timetable


def lateness_improve(
    table: Timetable, wishes: Wishes, rounds: int, seed: int, clock: Clock
) -> None:
    """Reorder every block that has late work in it."""
    for person in range(len(table.lane)):
        for block in _blocks(table, person, wishes.held):
            if any(table.late[task] for task in block):
                jobs = _jobs(table, block)
                order = block_order(jobs, list(range(len(block))), rounds, seed, clock.over)
                _lay(table, person, block, [block[i] for i in order])


def walk_improve(table: Timetable, wishes: Wishes) -> None:
    """Reorder blocks that cost nothing by it so that neighbouring places follow another.

    Tasks of the plan before stay where they are: closeness comes first.
    """
    fixed = wishes.held | set(wishes.reference)
    for person in range(len(table.lane)):
        here: int | None = None
        for block in _blocks(table, person, fixed):
            places = [table.problem.tasks[t].place for t in block]
            if all(place is not None for place in places) and not _cares(table, block):
                _lay(table, person, block, _nearest_first(table, block, here))
            here = table.problem.tasks[_last(table, block)].place


def is_one_block(table: Timetable) -> bool:
    """Whether the whole plan is one block with nothing missed: only its order matters."""
    blocks = [b for p in range(len(table.lane)) for b in _blocks(table, p, frozenset())]
    return not table.open and len(blocks) == 1 and len(blocks[0]) == len(table.start)


def _blocks(table: Timetable, person: int, fixed: Iterable[int]) -> list[list[int]]:
    """Runs of two or more free tasks, each allowed wherever in the run it might go."""
    fixed = set(fixed)
    blocks: list[list[int]] = []
    run: list[int] = []
    for task in _in_order(table, person):
        if run and _joins(table, run, task, fixed):
            run.append(task)
            continue
        blocks.append(run)
        run = [] if _bound(table, task, fixed) else [task]
    return [block for block in [*blocks, run] if len(block) > 1]


def _in_order(table: Timetable, person: int) -> list[int]:
    tasks = dict.fromkeys(table.lane[person])
    tasks.pop(-1, None)
    return list(tasks)


def _bound(table: Timetable, task: int, fixed: set[int]) -> bool:
    problem = table.problem
    alone = len(table.crew[task]) == 1
    return task in fixed or not alone or bool(problem.before[task] or problem.behind[task])


def _joins(table: Timetable, run: list[int], task: int, fixed: set[int]) -> bool:
    problem = table.problem
    first, end = table.start[run[0]], table.start[task] + problem.minutes[task]
    if _bound(table, task, fixed):
        return False
    if table.start[task] != table.start[run[-1]] + problem.minutes[run[-1]]:
        return False
    if problem.bike[task] in {problem.bike[t] for t in run}:
        return False
    return all(_anywhere(table, t, first, end) for t in (*run, task))


def _anywhere(table: Timetable, task: int, first: int, end: int) -> bool:
    """Whether the task's window and its bike are free for it all through the block."""
    problem = table.problem
    minutes = problem.minutes[task]
    starts = ((1 << (end - minutes - first + 1)) - 1) << first
    if problem.allowed[task] & starts != starts:
        return False
    own = ((1 << minutes) - 1) << table.start[task]
    block = ((1 << (end - first)) - 1) << first
    return (table.bike_free[problem.bike[task]] | own) & block == block


def _jobs(table: Timetable, block: list[int]) -> list[Job]:
    problem = table.problem
    first = table.start[block[0]]
    return [
        Job(
            problem.minutes[t],
            problem.late_rate[t],
            problem.late_from[t] + problem.minutes[t] - first,
        )
        for t in block
    ]


def _cares(table: Timetable, block: list[int]) -> bool:
    """Whether any order of the block could make something late."""
    end = table.start[block[-1]] + table.problem.minutes[block[-1]]
    return any(table.problem.cost(t, end - table.problem.minutes[t]) for t in block)


def _nearest_first(table: Timetable, block: list[int], here: int | None) -> list[int]:
    place = {t: table.problem.tasks[t].place or 0 for t in block}
    left, order = list(block), []
    at = place[block[0]] if here is None else here
    while left:
        nearest = min(left, key=lambda t: (abs(place[t] - at), left.index(t)))
        left.remove(nearest)
        order.append(nearest)
        at = place[nearest]
    return order


def _last(table: Timetable, block: list[int]) -> int:
    return max(block, key=lambda t: table.start[t])


def _lay(table: Timetable, person: int, block: list[int], order: list[int]) -> None:
    """Put the block's tasks back in a new order, from the same start."""
    start = min(table.start[t] for t in block)
    for task in block:
        table.remove(task)
    for task in order:
        table.place(task, start, (person,))
        start += table.problem.minutes[task]
