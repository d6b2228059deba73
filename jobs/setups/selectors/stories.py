"""What was changed, why, and what came of it: the book told to the bike's owner."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Prefetch

from jobs.trackday.models import Entry

from .. import saying
from ..enums import RowKind, RowState, Verdict
from ..models import Adjustment, Expectation, Judgement


@dataclass(frozen=True)
class Outcome:
    """What was expected of a change, and what was seen of it; no verdict: not judged yet."""

    expected: str
    verdict: str = ""
    words: str = ""

    @property
    def judged(self) -> bool:
        return bool(self.verdict)


@dataclass(frozen=True)
class Story:
    """One change of mind: both legs of a pair are one."""

    row: Adjustment
    text: str
    reason: str
    oil: str
    outcomes: Sequence[Outcome]

    @property
    def at(self) -> datetime:
        return self.row.done_at


def stories_of_entry(entry: Entry) -> list[Story]:
    """The changes that stand, in the order they were made. Three queries."""
    judgements = Judgement.objects.filter(withdrawn_at=None).order_by("accepted_at")
    expectations = Expectation.objects.filter(withdrawn_at=None).prefetch_related(
        Prefetch("judgements", queryset=judgements)
    )
    rows = (
        Adjustment.objects.filter(entry=entry, kind=RowKind.CHANGE, state=RowState.PLACED)
        .select_related("adjuster", "session", "by")
        .prefetch_related(Prefetch("expectations", queryset=expectations))
        .order_by("accepted_at", "seq")
    )
    acts: dict[object, list[Adjustment]] = {}
    for row in rows:
        acts.setdefault(row.linked or row.pk, []).append(row)
    return [story for act in acts.values() for story in _stories(act)]


def _stories(act: list[Adjustment]) -> list[Story]:
    """Legs moved alike are told once; linked changes of other adjusters each."""
    both = saying.moved_alike(act)
    told = act[:1] if both else act
    outcomes = [o for row in act for o in _outcomes(row)]
    return [
        Story(
            row=row,
            text=saying.adjustment(row, both=both),
            reason=row.reason,
            oil=saying.oil_words(row.oil_state),
            outcomes=outcomes if number == 0 else [],
        )
        for number, row in enumerate(told)
    ]


def _outcomes(row: Adjustment) -> list[Outcome]:
    found = []
    for expectation in row.expectations.all():
        judged = list(expectation.judgements.all())
        last = judged[-1] if judged else None
        found.append(
            Outcome(
                expected=expectation.text,
                verdict=str(Verdict(last.verdict).label) if last else "",
                words=last.words if last else "",
            )
        )
    return found
