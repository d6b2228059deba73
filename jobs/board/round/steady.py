"""A round that does not change under the finger: it stays as shown, and says what is new."""

import uuid
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from jobs.worklist.rounds import Step


@dataclass(frozen=True)
class Steady:
    """The steps as they stand, and how many changes the plan has for them."""

    steps: list[Step]
    changes: int = 0


def steady(shown: Sequence[uuid.UUID], planned: Sequence[Step], others: Iterable[Step]) -> Steady:
    """What was shown and is still to do, unless the plan only goes on from there.

    ``planned``: the round as it is planned now; ``others``: what else is open, so that a
    task the plan gave to somebody else stays where it is until the person looks.
    """
    known = {step.task.id: step for step in (*others, *planned)}
    kept = [known[task] for task in shown if task in known]
    same = all(a.task.id == b.task.id for a, b in zip(kept, planned, strict=False))
    if len(kept) <= len(planned) and same:
        return Steady(list(planned))
    return Steady(kept, _changes([s.task.id for s in kept], [s.task.id for s in planned]))


def _changes(kept: Sequence[uuid.UUID], planned: Sequence[uuid.UUID]) -> int:
    """Tasks that came, that went, and that stand elsewhere in the order."""
    places = {task: number for number, task in enumerate(planned)}
    both = [places[task] for task in kept if task in places]
    last = places[kept[-1]] if kept and kept[-1] in places else len(planned)
    came = sum(1 for task, place in places.items() if task not in kept and place < last)
    return came + (len(kept) - len(both)) + len(both) - _longest_rising(both)


def _longest_rising(numbers: Iterable[int]) -> int:
    """How many of them can stay where they are."""
    tails: list[int] = []
    for number in numbers:
        place = bisect_left(tails, number)
        tails[place : place + 1] = [number]
    return len(tails)


def shown_of(given: str) -> list[uuid.UUID]:
    """The tasks a page says it shows; what cannot be read is left out."""
    found = []
    for text in filter(None, given.split(",")):
        try:
            found.append(uuid.UUID(text))
        except ValueError:
            continue
    return found
