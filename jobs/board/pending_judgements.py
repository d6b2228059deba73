"""The open expectations of a bike, with what helps to judge them: photos and the pace."""

from dataclasses import dataclass

from django.utils.safestring import SafeString

from jobs.advice.selectors import (
    PaceComparison,
    PushOutlook,
    RingLanded,
    outing_pace_compared,
    push_landed,
    ring_landed,
)
from jobs.calculators.ring_drawing import outlook_drawing
from jobs.setups.enums import ToldBy
from jobs.setups.models import Expectation
from jobs.setups.selectors import BeforeAfter, expectations_open, photos_beside
from jobs.setups.stops import Stop
from jobs.trackday.models import Entry


@dataclass(frozen=True)
class PendingJudgement:
    expectation: Expectation
    due: bool  # the bike came back from an outing since
    pair: BeforeAfter | None = None  # photos; None: none was taken before the change
    pace: PaceComparison | None = None  # against the outing before, where something is due
    asks_pace: bool = False  # there is an outing before to compare with
    ring: RingLanded | None = None  # where the first ring after the change came

    push: PushOutlook | None = None  # the timed pushes about it

    @property
    def told_by(self) -> list[tuple[str, str, bool]]:
        """What may have told it, to be tapped: value, words, whether it is what was expected.

        Asked only where a ring was read: a ring that cannot show the change is no evidence.
        """
        if self.ring is None:
            return []
        of_the_ring = self.ring.outlook.sentence == self.expectation.text
        return [
            (value, str(words), value == ToldBy.RING and of_the_ring)
            for value, words in ToldBy.choices
        ]

    @property
    def picture(self) -> SafeString:
        """Ring and hot push as they were read, in the bands that were told before."""
        if self.ring is None and self.push is None:
            return SafeString()
        ring, read = (self.ring.outlook, self.ring.used_mm) if self.ring else (None, None)
        bike = self.expectation.adjustment.adjuster.bike
        return outlook_drawing(bike, ring, self.push, read_mm=read)


def pending_judgements(entry: Entry, stop: Stop | None) -> list[PendingJudgement]:
    """Every open expectation of a bike, those to judge now first.

    One query where nothing is expected, two where nothing is due, else eight; at most 19 more
    for each change due that a ring can show.
    """
    waiting = list(expectations_open(entry.bike))
    beside = photos_beside(waiting)
    due = {one.pk for one in waiting if _is_due(one, entry, stop)}
    pace = outing_pace_compared(entry, stop.session.pk) if due and stop else None
    found = [
        PendingJudgement(
            expectation=one,
            due=one.pk in due,
            pair=beside.get(one.pk),
            pace=pace if one.pk in due else None,
            asks_pace=stop is not None and stop.outings > 1,
            ring=ring_landed(one) if one.pk in due else None,
            push=push_landed(one) if one.pk in due else None,
        )
        for one in waiting
    ]
    return sorted(found, key=lambda one: not one.due)


def due_judgements(entry: Entry, stop: Stop | None) -> list[PendingJudgement]:
    """Those the bike came back from an outing with: to be judged before anything else."""
    if stop is None or stop.at is None:
        return []
    return [one for one in pending_judgements(entry, stop) if one.due]


def _is_due(expectation: Expectation, entry: Entry, stop: Stop | None) -> bool:
    """One of an earlier day always is, unless the bike is out."""
    if expectation.entry_id != entry.pk:
        return stop is None or stop.at is not None
    return stop is not None and stop.at is not None and stop.session.pk != expectation.session_id
