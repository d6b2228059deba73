"""Change sets: the rows of one act as one change, with what was expected and judged.

A pair of legs, or a linked change, is one, credited to its first-named function.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from itertools import combinations
from uuid import UUID

from django.db.models import Prefetch

from jobs.setups.enums import RowKind, RowState
from jobs.setups.models import Adjustment, Expectation, Judgement
from jobs.trackday.models import Entry
from jobs.tuning.knowledge import ChangeDirection, TriedChange
from jobs.tuning.terms import MEASURED_FUNCTIONS, AdjusterFunction, End, Firming, Verdict


@dataclass
class ChangeSet:
    """What one act changed on one end.

    ``returns``: it put the one before it back; ``put_back_by``: what did that to this one.
    ``measured``: the code of the finding it was made for, if readings alone show that.
    """

    rows: list[Adjustment]
    expectation: Expectation | None = None
    judgement: Judgement | None = None
    returns: bool = False
    put_back_by: "ChangeSet | None" = None
    confounders: list["ChangeSet"] = field(default_factory=list)
    measured: str = ""

    @property
    def first(self) -> Adjustment:
        return self.rows[0]

    @property
    def end(self) -> str:
        return self.first.adjuster.end

    @property
    def function(self) -> str:
        return self.first.adjuster.function

    @property
    def direction(self) -> ChangeDirection:
        return direction_of(self.first)

    @property
    def finding(self) -> str:
        found = self.expectation.finding if self.expectation else None
        return found.code if found else self.measured

    @property
    def finding_ids(self) -> set[UUID]:
        """The findings it was made for."""
        expected = self.expectation.finding_id if self.expectation else None
        named = {expected, *(row.finding_id for row in self.rows)}
        return {one for one in named if one is not None}

    @property
    def made_at(self) -> datetime:
        return self.first.accepted_at

    @property
    def put_back(self) -> bool:
        return self.put_back_by is not None

    @property
    def verdict(self) -> Verdict | None:
        return Verdict(self.judgement.verdict) if self.judgement else None

    def tried(self) -> TriedChange:
        return TriedChange(
            end=End(self.end),
            function=AdjusterFunction(self.function),
            direction=self.direction,
            moves=tuple(
                (row.adjuster_id, row.from_position, row.to_position)
                for row in self.rows
                if row.from_position is not None
            ),
            finding=self.finding,
            verdict=self.verdict,
            put_back=self.put_back,
            expected=self.expectation.text if self.expectation else "",
        )


def direction_of(row: Adjustment) -> ChangeDirection:
    """Which way a change went, in the catalogue's words."""
    up = row.to_position > (row.from_position or 0)
    if row.adjuster.function in MEASURED_FUNCTIONS:
        return ChangeDirection.MORE if up else ChangeDirection.LESS
    firmer = up == (row.adjuster.firming == Firming.UP)
    return ChangeDirection.FIRMER if firmer else ChangeDirection.SOFTER


def change_sets_of(**narrowed: object) -> list[ChangeSet]:
    """Every change that stands, oldest first, each with its last judgement: three queries.

    ``narrowed`` are filters on the changes: ``entry=...``, ``entry__in=...``.
    """
    judgements = Judgement.objects.filter(withdrawn_at=None).order_by("accepted_at")
    expectations = (
        Expectation.objects.filter(withdrawn_at=None)
        .select_related("finding")
        .prefetch_related(Prefetch("judgements", judgements.select_related("entry__trackday")))
        .order_by("accepted_at")
    )
    rows = (
        Adjustment.objects.filter(kind=RowKind.CHANGE, state=RowState.PLACED, **narrowed)
        .select_related("adjuster__bike", "session", "entry__trackday", "entry__group")
        .prefetch_related(Prefetch("expectations", queryset=expectations))
        .order_by("accepted_at", "seq")
    )
    acts: dict[object, list[Adjustment]] = {}
    for row in rows:
        acts.setdefault(row.linked or row.pk, []).append(row)
    change_sets = [_change_set(act) for act in acts.values()]
    _mark_returns(change_sets)
    return change_sets


def changes_unexpected(entry: Entry) -> list[Adjustment]:
    """Today's changes that stand with no expectation written: at most three queries.

    The first row of each; a way back, and what was put back, expects nothing.
    """
    return [
        change_set.first
        for change_set in change_sets_of(entry=entry)
        if change_set.expectation is None and not (change_set.returns or change_set.put_back)
    ]


def _change_set(rows: list[Adjustment]) -> ChangeSet:
    expected = [one for row in rows for one in row.expectations.all()]
    expectation = next((one for one in expected if one.finding_id), None) or next(
        iter(expected), None
    )
    judged = list(expectation.judgements.all()) if expectation else []
    return ChangeSet(rows, expectation, judged[-1] if judged else None)


def _mark_returns(change_sets: Iterable[ChangeSet]) -> None:
    """A change that puts every adjuster of the one before it back is its way back."""
    standing: dict[tuple[int | None, str], list[ChangeSet]] = {}
    for change_set in change_sets:
        key = (change_set.first.entry_id, change_set.end)
        before = standing.setdefault(key, [])
        if before and _undoes(change_set, before[-1]):
            before.pop().put_back_by = change_set
            change_set.returns = True
        else:
            before.append(change_set)


def _undoes(change_set: ChangeSet, before: ChangeSet) -> bool:
    was = {row.adjuster_id: row.from_position for row in before.rows}
    now = {row.adjuster_id: row.to_position for row in change_set.rows}
    return bool(was) and was == now


def mark_confounders(change_sets: list[ChangeSet]) -> None:
    """Fill in ``confounders``: other change sets on the same end at the same time.

    Two changes of one turnaround are confounded, and so are two where the second was made
    before the first was judged. A change that was put back, and the one that put it back,
    confound nothing after them. ``change_before`` warns of it before a change is made.
    """
    by_end: dict[tuple[int | None, str], list[ChangeSet]] = {}
    for change_set in change_sets:
        by_end.setdefault((change_set.first.entry_id, change_set.end), []).append(change_set)
    for same in by_end.values():
        for change_set, later in combinations(same, 2):
            if not later.returns and _in_the_way(change_set, later.first.session_id, later.made_at):
                change_set.confounders.append(later)
                later.confounders.append(change_set)


def change_before(entry: Entry, *, end: str, session_id: int | None) -> ChangeSet | None:
    """The newest change that one more on this end, made now, would be confounded with.

    ``session_id``: the outing the bike last came in from. At most three queries.
    """
    before = change_sets_of(entry=entry, adjuster__end=end)
    return next(
        (change_set for change_set in reversed(before) if _in_the_way(change_set, session_id)), None
    )


def _in_the_way(change_set: ChangeSet, session_id: int | None, at: datetime | None = None) -> bool:
    """Whether a change of the same end at that outing is confounded with it; ``at`` None: now."""
    if change_set.returns or (
        change_set.put_back_by and (at is None or change_set.put_back_by.made_at < at)
    ):
        return False
    if change_set.first.session_id == session_id:
        return True
    return change_set.expectation is not None and (
        change_set.judgement is None or (at is not None and at < change_set.judgement.accepted_at)
    )
