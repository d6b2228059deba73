"""The day of one bike, session by session, in plain words."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.trackday import clock
from jobs.trackday.models import Entry, Session

from .. import sentences
from ..enums import RowKind, RowState
from ..models import Adjustment, BikePhoto, BookRow, Finding, Judgement, KeptSetup, Reading

MOST_ROWS = 100


@dataclass(frozen=True)
class TimelineLine:
    """One thing that happened: a sentence, who and when, and whether it still stands.

    ``parts`` are the single lines behind one that sums them up.
    """

    row: BookRow
    kind: str  # change, reading, finding, judgement, kept, photo
    text: str
    quiet: str = ""
    parts: tuple["TimelineLine", ...] = ()

    @property
    def at(self) -> datetime:
        return self.row.done_at

    @property
    def who(self) -> str:
        return str(self.row.by)

    @property
    def withdrawn(self) -> bool:
        return self.row.withdrawn_at is not None

    @property
    def photo(self) -> BikePhoto | None:
        return self.row if isinstance(self.row, BikePhoto) else None

    @property
    def unplaced(self) -> bool:
        return isinstance(self.row, Adjustment) and self.row.state == RowState.UNPLACED


@dataclass
class Chapter:
    """What happened from one session's start to the next; None: before the first."""

    session: Session | None
    lines: list[TimelineLine] = field(default_factory=list)

    @property
    def title(self) -> str:
        if self.session is None:
            return _("Before the first session")
        return _("Session %(number)s") % {"number": self.session.number}

    @property
    def changes(self) -> int:
        """How many changes: both legs of a pair count once."""
        lines = (line for line in self.lines if line.kind == "change" and not line.withdrawn)
        return sum(1 for line in lines if not line.parts)


def timeline_of_entry(entry: Entry, readings: Iterable[Reading]) -> list[Chapter]:
    """The newest session first, its lines in the order they were accepted.

    ``readings`` are handed in because the sheet has them already. What was judged on a later
    day is left out. Five queries.
    """
    _begins, day_ends = clock.bounds(entry.trackday)
    judged = (row for row in _newest(Judgement, entry, "expectation") if row.done_at < day_ends)
    lines = [
        *_adjustments(
            _newest(Adjustment, entry, "adjuster", "order__by", "placed_by", "read_back_by")
        ),
        *map(_finding, _newest(Finding, entry)),
        *map(_judgement, judged),
        *map(_kept, _newest(KeptSetup, entry)),
        *map(_photo, _newest(BikePhoto, entry, "photo")),
        *map(_reading, readings),
    ]
    chapters: dict[int | None, Chapter] = {}
    by_session: dict[int | None, list[TimelineLine]] = defaultdict(list)
    for line in lines:
        session = line.row.session
        chapters.setdefault(session.pk if session else None, Chapter(session))
        by_session[session.pk if session else None].append(line)
    for key, chapter in chapters.items():
        chapter.lines = sorted(by_session[key], key=lambda line: line.row.accepted_at)
    return sorted(
        chapters.values(), key=lambda c: c.session.number if c.session else 0, reverse=True
    )


def _newest(model: type[BookRow], entry: Entry, *related: str) -> Any:
    rows = model._default_manager.filter(entry=entry).select_related("session", "by", *related)
    return rows.order_by("-accepted_at")[:MOST_ROWS]


def _adjustments(rows: Iterable[Adjustment]) -> list[TimelineLine]:
    """Legs moved alike in one act are one line; the day's first counts are one too."""
    acts: dict[object, list[Adjustment]] = {}
    for row in rows:
        acts.setdefault(row.linked or row.pk, []).append(row)
    lines = [line for act in acts.values() for line in _act_lines(act)]
    counted = [line for line in lines if _is_first_count(line)]
    if len(counted) < 2:
        return lines
    text = ngettext("%(n)s adjuster counted.", "%(n)s adjusters counted.", len(counted))
    summed = TimelineLine(
        row=counted[-1].row,
        kind="count",
        text=text % {"n": len(counted)},
        quiet=counted[-1].quiet,
        parts=tuple(reversed(counted)),
    )
    return [line for line in lines if line not in counted] + [summed]


def _is_first_count(line: TimelineLine) -> bool:
    row = line.row
    return isinstance(row, Adjustment) and row.kind == RowKind.BASELINE and not line.withdrawn


def _act_lines(act: list[Adjustment]) -> list[TimelineLine]:
    both = sentences.moved_alike(act) and len({row.state for row in act}) == 1
    return [
        TimelineLine(
            row, _kind(row), sentences.adjustment(row, both=both), sentences.adjustment_aside(row)
        )
        for row in (act[:1] if both else act)
    ]


def _kind(row: Adjustment) -> str:
    return "change" if row.kind == RowKind.CHANGE else "count"


def _finding(row: Finding) -> TimelineLine:
    return TimelineLine(row, "finding", sentences.finding(row), sentences.finding_aside(row))


def _judgement(row: Judgement) -> TimelineLine:
    return TimelineLine(row, "judgement", sentences.judgement(row), row.words)


def _kept(row: KeptSetup) -> TimelineLine:
    return TimelineLine(row, "kept", _("Kept as “%(name)s”.") % {"name": row.name}, row.note)


def _photo(row: BikePhoto) -> TimelineLine:
    return TimelineLine(row, "photo", _("Photo: %(what)s.") % {"what": row}, row.words)


def _reading(row: Reading) -> TimelineLine:
    return TimelineLine(row, "reading", sentences.reading(row), sentences.reading_aside(row))
