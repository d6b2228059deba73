"""The gaps between a bike's later sessions that work could be moved to."""

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from jobs import planning
from jobs.planning.model import Id, Window

from ..derive import Task
from .minutes import minute_from, minute_to
from .problem import Problem

BEFORE_ROLL = 7  # minutes: as a follow-up's window ends (common practice, no source)
AFTER_STOP = 1


@dataclass(frozen=True)
class Gap:
    """After which session, and the minute at which the task would begin."""

    session_id: int
    start: int


def next_gaps(problem: Problem, plan: planning.Plan, tasks: Iterable[Id]) -> dict[Id, Gap]:
    """For each task that may be moved, the first later gap it fits; nothing else moves."""
    wanted = {}
    for task_id in tasks:
        task = problem.tasks[uuid.UUID(str(task_id))]
        if task.item.movable and (gaps := later_gaps(problem, task)):
            wanted[task_id] = gaps
    if not wanted:
        return {}
    starts = planning.first_gaps(
        problem.day,
        plan,
        {task_id: [window for _session, window in gaps] for task_id, gaps in wanted.items()},
        now=problem.now,
        locked=problem.locked,
    )
    return {
        task_id: Gap(next(s for s, (a, b) in wanted[task_id] if a <= start < b), start)
        for task_id, start in starts.items()
    }


def later_gaps(problem: Problem, task: Task) -> list[tuple[int, Window]]:
    """The bike's turnarounds after the task's own: the session before each, and its minutes."""
    bike = problem.bikes[task.entry.pk]
    outings = [outing for outing in bike.where.outings if outing.went is not False]
    found = []
    for before, after in pairwise(outings):
        first = minute_from(problem.zero, before.stop) + AFTER_STOP
        last = minute_to(problem.zero, after.out_at) - BEFORE_ROLL
        if before.stop >= task.closes and last - first >= task.item.planned_minutes:
            found.append((before.times.session.pk, (first, last)))
    return found
