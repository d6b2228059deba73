"""What the setup book holds of a whole day, as far as tasks depend on it: one query."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db.models import Case, CharField, F, IntegerField, Q, QuerySet, Value, When
from django.db.models.expressions import Combinable

from jobs.garage.enums import Function
from jobs.people.models import User
from jobs.setups.enums import RowKind, RowState
from jobs.setups.models import Adjustment, Finding, Reading
from jobs.trackday.models import Trackday

from ..book_facts import COUNTED, SAID, BookFact

CHANGED = "changed"
# Of a change: whether it waits to be placed, or for somebody to read it back.
UNPLACED, NOT_READ_BACK, READ_BACK = 1, 2, 3
COLUMNS = (
    "entry_id", "what", "at_end", "tyre", "session_id", "done_at", "number", "standing",
    "by__first_name", "by__last_name", "by__username",
)  # fmt: skip


@dataclass
class BookRows:
    """Of one entry: its changes of today, and the facts that may do a task."""

    changed_at: list[datetime] = field(default_factory=list)
    not_read_back: int = 0
    unplaced: int = 0
    facts: list[BookFact] = field(default_factory=list)


def book_rows_of_day(trackday: Trackday) -> dict[int, BookRows]:
    """By entry id. What was withdrawn is left out."""
    found: dict[int, BookRows] = defaultdict(BookRows)
    changes_and_counts = _adjustments(trackday)
    for row in changes_and_counts.union(_readings(trackday), _said(trackday), all=True):
        entry_id, *fields = row
        _add(found[entry_id], fields)
    return found


def _add(rows: BookRows, fields: Iterable[Any]) -> None:
    what, end, tyre, session_id, done_at, adjuster, standing, *names = fields
    if what != CHANGED:
        first, last, username = names
        by = str(User(first_name=first, last_name=last, username=username))
        rows.facts.append(BookFact(what, end, tyre, session_id, done_at, by, adjuster))
    elif standing == UNPLACED:
        rows.unplaced += 1
    else:
        rows.changed_at.append(done_at)
        rows.not_read_back += standing == NOT_READ_BACK


def _adjustments(trackday: Trackday) -> QuerySet[Any, Any]:
    """Changes, and counts of what a clicker count asks for."""
    counted = Q(
        ~Q(adjuster__function=Function.TYRE_PRESSURE),
        kind__in=(RowKind.BASELINE, RowKind.RECOUNT),
        state=RowState.PLACED,
        adjuster__usable=True,
    )
    changed = Q(kind=RowKind.CHANGE, state__in=(RowState.PLACED, RowState.UNPLACED))
    standing = Case(
        When(state=RowState.UNPLACED, then=Value(UNPLACED)),
        When(read_back=None, then=Value(NOT_READ_BACK)),
        default=Value(READ_BACK),
        output_field=IntegerField(),
    )
    return _columns(
        Adjustment.objects.filter(counted | changed, entry__trackday=trackday),
        what=Case(
            When(kind=RowKind.CHANGE, then=Value(CHANGED)),
            default=Value(COUNTED),
            output_field=CharField(),
        ),
        at_end=F("adjuster__end"),
        tyre=F("tyre_state"),
        number=F("adjuster_id"),
        standing=standing,
    )


def _readings(trackday: Trackday) -> QuerySet[Any, Any]:
    return _columns(
        Reading.objects.filter(entry__trackday=trackday, withdrawn_at=None),
        what=F("kind"),
        at_end=F("end"),
        tyre=F("tyre_state"),
    )


def _said(trackday: Trackday) -> QuerySet[Any, Any]:
    """The rider's words, wherever they were written down."""
    return _columns(
        Finding.objects.filter(entry__trackday=trackday, withdrawn_at=None, by_rider=True),
        what=Value(SAID, CharField()),
        at_end=F("end"),
        tyre=Value("", CharField()),
    )


def _columns(
    rows: QuerySet[Any, Any],
    *,
    what: Combinable,
    at_end: Combinable,
    tyre: Combinable,
    number: Combinable | None = None,
    standing: Combinable | None = None,
) -> QuerySet[Any, Any]:
    nothing = Value(0, IntegerField())
    named = {
        "what": what,
        "at_end": at_end,
        "tyre": tyre,
        "number": number or nothing,
        "standing": standing or nothing,
    }
    columns: QuerySet[Any, Any] = rows.order_by().annotate(**named).values_list(*COLUMNS)
    return columns
