"""Changes of mind: the rows of one act as one change, with what was expected and judged.

A pair of legs, or a linked change, is one, credited to its first-named function.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from itertools import combinations

from django.db.models import Prefetch

from jobs.setups.enums import RowKind, RowState
from jobs.setups.models import Adjustment, Expectation, Judgement
from jobs.trackday.models import Entry
from jobs.tuning.knowledge import Direction, Tried
from jobs.tuning.terms import AdjusterFunction, End, Firming, Verdict

MEASURED = {"tube_height", "shock_length", "tyre_pressure", "oil_level"}


@dataclass
class Mind:
    """One change of mind on one end.

    ``returns``: it put the one before it back; ``put_back_by``: what did that to this one.
    """

    rows: list[Adjustment]
    expectation: Expectation | None = None
    judgement: Judgement | None = None
    returns: bool = False
    put_back_by: "Mind | None" = None
    confounders: list["Mind"] = field(default_factory=list)

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
    def direction(self) -> Direction:
        return direction_of(self.first)

    @property
    def finding(self) -> str:
        found = self.expectation.finding if self.expectation else None
        return found.code if found else ""

    @property
    def made_at(self) -> datetime:
        return self.first.accepted_at

    @property
    def put_back(self) -> bool:
        return self.put_back_by is not None

    @property
    def verdict(self) -> Verdict | None:
        return Verdict(self.judgement.verdict) if self.judgement else None

    def tried(self) -> Tried:
        return Tried(
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


def direction_of(row: Adjustment) -> Direction:
    """Which way a change went, in the catalogue's words."""
    up = row.to_position > (row.from_position or 0)
    if row.adjuster.function in MEASURED:
        return Direction.MORE if up else Direction.LESS
    firmer = up == (row.adjuster.firming == Firming.UP)
    return Direction.FIRMER if firmer else Direction.SOFTER


def minds_of(**narrowed: object) -> list[Mind]:
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
        .select_related("adjuster", "session", "entry__trackday")
        .prefetch_related(Prefetch("expectations", queryset=expectations))
        .order_by("accepted_at", "seq")
    )
    acts: dict[object, list[Adjustment]] = {}
    for row in rows:
        acts.setdefault(row.linked or row.pk, []).append(row)
    minds = [_mind(act) for act in acts.values()]
    _mark_returns(minds)
    return minds


def changes_unexpected(entry: Entry) -> list[Adjustment]:
    """Today's changes that stand with no expectation written: at most three queries.

    The first row of each; a way back, and what was put back, expects nothing.
    """
    return [
        mind.first
        for mind in minds_of(entry=entry)
        if mind.expectation is None and not (mind.returns or mind.put_back)
    ]


def _mind(rows: list[Adjustment]) -> Mind:
    expected = [one for row in rows for one in row.expectations.all()]
    expectation = next((one for one in expected if one.finding_id), None) or next(
        iter(expected), None
    )
    judged = list(expectation.judgements.all()) if expectation else []
    return Mind(rows, expectation, judged[-1] if judged else None)


def _mark_returns(minds: Iterable[Mind]) -> None:
    """A change that puts every adjuster of the one before it back is its way back."""
    standing: dict[tuple[int | None, str], list[Mind]] = {}
    for mind in minds:
        key = (mind.first.entry_id, mind.end)
        before = standing.setdefault(key, [])
        if before and _undoes(mind, before[-1]):
            before.pop().put_back_by = mind
            mind.returns = True
        else:
            before.append(mind)


def _undoes(mind: Mind, before: Mind) -> bool:
    was = {row.adjuster_id: row.from_position for row in before.rows}
    now = {row.adjuster_id: row.to_position for row in mind.rows}
    return bool(was) and was == now


def confounded_by(minds: list[Mind]) -> None:
    """Fill in ``confounders``: other changes of mind on the same end at the same time.

    Two in one turnaround, or one made while the other was not judged yet: both are. A way
    back and what it undid leave the bike as it was known: they confound nothing after them.
    ``change_before`` says it beforehand.
    """
    by_end: dict[tuple[int | None, str], list[Mind]] = {}
    for mind in minds:
        by_end.setdefault((mind.first.entry_id, mind.end), []).append(mind)
    for same in by_end.values():
        for mind, later in combinations(same, 2):
            if not later.returns and _in_the_way(mind, later.first.session_id, later.made_at):
                mind.confounders.append(later)
                later.confounders.append(mind)


def change_before(entry: Entry, *, end: str, session_id: int | None) -> Mind | None:
    """The newest change that one more on this end, made now, would be confounded with.

    ``session_id``: the outing the bike last came in from. At most three queries.
    """
    before = minds_of(entry=entry, adjuster__end=end)
    return next((mind for mind in reversed(before) if _in_the_way(mind, session_id)), None)


def _in_the_way(mind: Mind, session_id: int | None, at: datetime | None = None) -> bool:
    """Whether a change of the same end at that outing is confounded with it; ``at`` None: now."""
    if mind.returns or (mind.put_back_by and (at is None or mind.put_back_by.made_at < at)):
        return False
    if mind.first.session_id == session_id:
        return True
    return mind.expectation is not None and (
        mind.judgement is None or (at is not None and at < mind.judgement.accepted_at)
    )
