"""What the setup book says was done: a reading, a count or words do the task they fit.

Where they were entered does not matter: on the bike sheet, on a round, on the advice page. A
row that is withdrawn is not among the facts, so its task is open again. Pure.
"""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from typing import NamedTuple

from jobs.setups.reading_kinds import READING_KINDS

from .enums import Cadence, ItemKind
from .models import ChecklistItem
from .occasions import Occasion

COUNTED, SAID = "counted", "said"  # beside the names of the kinds of reading


class BookFact(NamedTuple):
    """One row of the book: ``what`` is a kind of reading, or COUNTED, or SAID (by the rider).

    ``session_id``: the outing it hangs on; None: before the first one. ``by``: a name.
    """

    what: str
    end: str
    tyre_state: str
    session_id: int | None
    done_at: datetime
    by: str
    adjuster_id: int = 0


class BookFacts:
    """The facts of one entry's day. ``countable``: how many adjusters a count must reach."""

    def __init__(self, facts: Iterable[BookFact] = (), countable: int = 0) -> None:
        self.countable = countable
        self._all = list(facts)
        self._by_session: dict[int | None, list[BookFact]] = {}
        for fact in self._all:
            self._by_session.setdefault(fact.session_id, []).append(fact)

    def fitting(
        self, item: ChecklistItem, occasion: Occasion, opens: datetime, closes: datetime
    ) -> tuple[BookFact, ...]:
        """The facts that do all or a part of an item on one occasion, oldest first."""
        if not self._all or item.kind not in WANTED:
            return ()
        found = [fact for fact in self._of(item, occasion, opens) if _wanted(item, fact)]
        if item.must_start:
            latest = closes + timedelta(minutes=item.minutes)
            found = [fact for fact in found if fact.done_at < latest]
        return tuple(sorted(found, key=lambda fact: fact.done_at))

    def complete(self, item: ChecklistItem, fitting: Sequence[BookFact]) -> bool:
        """Whether nothing of the item is missing."""
        if not fitting:
            return False
        if item.kind == ItemKind.COUNT:
            return len({fact.adjuster_id for fact in fitting}) >= max(self.countable, 1)
        if item.kind == ItemKind.READING:
            return all(any(_is(asked, fact) for fact in fitting) for asked in item.readings)
        return True

    def _of(self, item: ChecklistItem, occasion: Occasion, opens: datetime) -> Iterable[BookFact]:
        if item.cadence == Cadence.ONCE:
            return self._all
        if item.cadence == Cadence.LAST:
            stop = occasion.stop
            return [fact for fact in self._all if stop is None or fact.done_at >= stop]
        of_stop = self._by_session.get(occasion.turnaround, [])
        if item.cadence == Cadence.BEFORE:
            return [fact for fact in of_stop if fact.done_at >= opens]
        return of_stop


WANTED = frozenset((ItemKind.READING, ItemKind.COUNT, ItemKind.WORDS))


def still_asked(item: ChecklistItem, done: Sequence[BookFact]) -> list[tuple[int, dict[str, str]]]:
    """The readings of an item that nobody has taken yet, each with its place in the item."""
    return [
        (number, asked)
        for number, asked in enumerate(item.readings)
        if not any(_is(asked, fact) for fact in done)
    ]


def _wanted(item: ChecklistItem, fact: BookFact) -> bool:
    if item.kind == ItemKind.READING:
        return any(_is(asked, fact) for asked in item.readings) and not _too_warm(item, fact)
    return fact.what == (COUNTED if item.kind == ItemKind.COUNT else SAID)


def _is(asked: dict[str, str], fact: BookFact) -> bool:
    state = asked.get("tyre_state", "")
    return (
        fact.what == asked["kind"]
        and fact.end == asked.get("end", "")
        and (not state or fact.tyre_state == state)
    )


def _too_warm(item: ChecklistItem, fact: BookFact) -> bool:
    """A push test that is asked for once is the cold one; after an outing it is another."""
    kind = READING_KINDS.get(fact.what)
    once = item.cadence == Cadence.ONCE
    return once and kind is not None and kind.sets_rebound and fact.session_id is not None
