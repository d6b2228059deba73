"""The round as a page shows it: its order stays until the person asks for the new one."""

import uuid
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from jobs.worklist.rounds import RoundTask


@dataclass(frozen=True)
class StableRound:
    """The steps in the order shown, and in how many the present plan differs."""

    steps: list[RoundTask]
    changes: int = 0


def stable_round(
    shown: Sequence[uuid.UUID], planned: Sequence[RoundTask], others: Iterable[RoundTask]
) -> StableRound:
    """The steps that were shown and are still to do; the planned ones where these only continue.

    ``planned``: the round as it is planned now; ``others``: what else is open, so that a
    task the plan gave to somebody else stays where it is until the person looks.
    """
    known = {step.task.id: step for step in (*others, *planned)}
    kept = [known[task] for task in shown if task in known]
    same = all(a.task.id == b.task.id for a, b in zip(kept, planned, strict=False))
    if len(kept) <= len(planned) and same:
        return StableRound(list(planned))
    return StableRound(kept, _changes([s.task.id for s in kept], [s.task.id for s in planned]))


def _changes(kept: Sequence[uuid.UUID], planned: Sequence[uuid.UUID]) -> int:
    """The number of tasks added, removed, or at another place in the order."""
    places = {task: number for number, task in enumerate(planned)}
    both = [places[task] for task in kept if task in places]
    last = places[kept[-1]] if kept and kept[-1] in places else len(planned)
    came = sum(1 for task, place in places.items() if task not in kept and place < last)
    return came + (len(kept) - len(both)) + len(both) - _longest_rising(both)


def _longest_rising(numbers: Iterable[int]) -> int:
    """The length of the longest increasing subsequence: how many need not move."""
    tails: list[int] = []
    for number in numbers:
        place = bisect_left(tails, number)
        tails[place : place + 1] = [number]
    return len(tails)


def shown_tasks(given: str) -> list[uuid.UUID]:
    """The ids of the tasks a page says it shows; text that is no id is left out."""
    found = []
    for text in filter(None, given.split(",")):
        try:
            found.append(uuid.UUID(text))
        except ValueError:
            continue
    return found
