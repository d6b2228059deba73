"""What was changed, why, and what came of it: the book told to the bike's owner."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Prefetch

from jobs.trackday import clock
from jobs.trackday.models import Entry

from .. import sentences
from ..enums import RowKind, RowState, Verdict
from ..models import Adjustment, Expectation, Judgement


@dataclass(frozen=True)
class ExpectationResult:
    """What was expected of a change, and what was seen of it; not judged yet without a verdict."""

    expected: str
    verdict: str = ""
    words: str = ""
    code: str = ""

    @property
    def judged(self) -> bool:
        return bool(self.verdict)


@dataclass(frozen=True)
class Story:
    """One change, with its reason and what came of it; both legs of a pair are one change."""

    row: Adjustment
    text: str
    reason: str
    oil: str
    expectations: Sequence[ExpectationResult]
    both: bool = False  # legs of a pair

    @property
    def at(self) -> datetime:
        return self.row.done_at


def stories_of_entry(entry: Entry) -> list[Story]:
    """The changes that stand, in the order they were made. Three queries.

    What was judged on a later day is that day's.
    """
    _begins, ends = clock.bounds(entry.trackday)
    judgements = Judgement.objects.filter(done_at__lt=ends, withdrawn_at=None).order_by(
        "accepted_at"
    )
    expectations = Expectation.objects.filter(withdrawn_at=None).prefetch_related(
        Prefetch("judgements", queryset=judgements)
    )
    rows = (
        Adjustment.objects.filter(entry=entry, kind=RowKind.CHANGE, state=RowState.PLACED)
        .select_related("adjuster", "session", "by", "finding")
        .prefetch_related(Prefetch("expectations", queryset=expectations))
        .order_by("accepted_at", "seq")
    )
    acts: dict[object, list[Adjustment]] = {}
    for row in rows:
        acts.setdefault(row.linked or row.pk, []).append(row)
    return [story for act in acts.values() for story in _stories(act)]


def _stories(act: list[Adjustment]) -> list[Story]:
    """Legs moved alike are told once; linked changes of other adjusters each."""
    both = sentences.moved_alike(act)
    told = act[:1] if both else act
    expectations = [o for row in act for o in _expectations(row)]
    return [
        Story(
            row=row,
            text=sentences.adjustment(row, both=both),
            reason=row.reason,
            oil=sentences.oil_words(row.oil_state),
            expectations=expectations if number == 0 else [],
            both=both,
        )
        for number, row in enumerate(told)
    ]


def _expectations(row: Adjustment) -> list[ExpectationResult]:
    found = []
    for expectation in row.expectations.all():
        judged = list(expectation.judgements.all())
        last = judged[-1] if judged else None
        found.append(
            ExpectationResult(
                expected=expectation.text,
                verdict=str(Verdict(last.verdict).label) if last else "",
                words=last.words if last else "",
                code=last.verdict if last else "",
            )
        )
    return found


def judged_of_earlier_days(entry: Entry) -> list[Judgement]:
    """What was judged on this day of changes of earlier ones, for the same payer. One query."""
    begins, ends = clock.bounds(entry.trackday)
    return list(
        Judgement.objects.filter(
            done_at__gte=begins,
            done_at__lt=ends,
            withdrawn_at=None,
            expectation__entry__bike=entry.bike_id,
            expectation__entry__payer=entry.payer_id,
            expectation__entry__trackday__date__lt=entry.trackday.date,
        )
        .select_related("expectation__adjustment__adjuster", "expectation__entry__trackday")
        .order_by("accepted_at")
    )
