"""A timetable file against the day, and written into it: all of it or nothing."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from django.db import transaction
from django.utils.translation import gettext as _

from jobs.tables.matching import Choice, Formats
from jobs.tables.table import Fault
from jobs.trackday import clock
from jobs.trackday.enums import Pace
from jobs.trackday.models import RunGroup, Session, Trackday
from jobs.trackday.office import (
    group_create,
    group_pace_set,
    lunch_and_close_plan,
    session_create,
    session_reschedule,
)
from jobs.trackday.services import revision_bump

from .preview import ImportDifference, Preview, PreviewLine, Verb, in_order
from .timetable import SessionRow, Timetable, timetable_read


@dataclass
class SessionPreviewLine(PreviewLine):
    row: SessionRow | None = None
    session: Session | None = None


@dataclass
class TimetablePreview(Preview[SessionPreviewLine]):
    timetable: Timetable | None = None
    plan: tuple[ImportDifference, ...] = ()

    @property
    def writes(self) -> int:
        return super().writes + len(self.plan)


def timetable_preview(
    *, trackday: Trackday, text: str, formats: Formats | None = None, choice: Choice | None = None
) -> TimetablePreview:
    """What importing ``text`` would do to the day's sessions, lunch and close."""
    zone = ZoneInfo(trackday.venue.timezone)
    timetable = timetable_read(text, day=trackday.date, zone=zone, formats=formats, choice=choice)
    sessions = Session.objects.filter(trackday=trackday).select_related("group")
    known = {(s.group.letter.casefold(), s.number): s for s in sessions}
    preview = TimetablePreview(
        faults=list(timetable.faults), matching=timetable.matching, timetable=timetable
    )
    for row in sorted(timetable.sessions, key=lambda r: (r.start, r.group)):
        session = known.pop((row.group.casefold(), row.number), None)
        preview.lines.append(_line(trackday, row, session, preview.faults))
    preview.gone = [
        _words(trackday, s.planned_start, s.planned_end, str(s)) for s in known.values()
    ]
    groups = _groups(trackday) if timetable.paces else {}
    preview.plan = (*_plan(trackday, timetable), *_pace_differences(groups, timetable))
    preview.faults = in_order(preview.faults)
    return preview


def _line(
    trackday: Trackday, row: SessionRow, session: Session | None, faults: list[Fault]
) -> SessionPreviewLine:
    title = _words(trackday, row.start, row.end, f"{row.group} {row.number}")
    line = SessionPreviewLine(row.line, title, Verb.NEW, row=row, session=session)
    if session is None:
        return line
    was = (session.planned_start, session.planned_end)
    if was == (row.start, row.end):
        line.verb = Verb.SAME
        return line
    line.verb = Verb.CHANGED
    line.differences.append(
        ImportDifference(_("planned"), _span(trackday, *was), _span(trackday, row.start, row.end))
    )
    if session.actual_start or session.actual_end or session.cancelled_at:
        words = _(
            "Group %(group)s's session %(n)d has already been run or cancelled: "
            "its plan is not moved any more."
        )
        faults.append(Fault(row.line, "start", words % {"group": row.group, "n": row.number}))
    return line


def _span(trackday: Trackday, start: datetime, end: datetime) -> str:
    a, b = clock.local(trackday, start), clock.local(trackday, end)
    return f"{a:%H:%M}–{b:%H:%M}"


def _words(trackday: Trackday, start: datetime, end: datetime, name: str) -> str:
    return f"{name}, {_span(trackday, start, end)}"


def _plan(trackday: Trackday, timetable: Timetable) -> list[ImportDifference]:
    """What changes about lunch and the track's close."""
    found = []
    if timetable.lunch and timetable.lunch != (trackday.lunch_from, trackday.lunch_to):
        was = ""
        if trackday.lunch_from and trackday.lunch_to:
            was = _span(trackday, trackday.lunch_from, trackday.lunch_to)
        found.append(ImportDifference(_("lunch"), was, _span(trackday, *timetable.lunch)))
    if timetable.close and timetable.close != trackday.closes_at:
        closes = trackday.closes_at
        was = f"{clock.local(trackday, closes):%H:%M}" if closes else ""
        becomes = f"{clock.local(trackday, timetable.close):%H:%M}"
        found.append(ImportDifference(_("track closes"), was, becomes))
    return found


def _groups(trackday: Trackday) -> dict[str, RunGroup]:
    return {g.letter.casefold(): g for g in RunGroup.objects.filter(trackday=trackday)}


def _pace_differences(
    groups: dict[str, RunGroup], timetable: Timetable
) -> Iterator[ImportDifference]:
    """The run groups whose pace is said and is another than the day has."""
    for letter, pace in timetable.paces.items():
        known = groups.get(letter.casefold())
        was = known.pace if known else ""
        if pace != was:
            name = _("group %(letter)s's pace") % {"letter": letter}
            label = str(Pace(was).label) if was else ""
            yield ImportDifference(name, label, str(Pace(pace).label))


@transaction.atomic
def timetable_write(*, trackday: Trackday, preview: TimetablePreview) -> None:
    """Write a preview that has no faults."""
    groups = _groups(trackday)
    for letter in sorted({line.row.group for line in preview.lines if line.row}):
        if letter.casefold() not in groups:
            groups[letter.casefold()] = group_create(
                trackday=trackday, letter=letter, order=len(groups)
            )
    for line in preview.lines:
        _write(line, groups)
    if preview.plan and preview.timetable:
        lunch_and_close_plan(
            trackday=trackday,
            lunch=preview.timetable.lunch,
            closes_at=preview.timetable.close,
        )
        for letter, pace in preview.timetable.paces.items():
            group_pace_set(group=groups[letter.casefold()], pace=pace)
    revision_bump(trackday_id=trackday.pk)


def _write(line: SessionPreviewLine, groups: dict[str, RunGroup]) -> None:
    row = line.row
    assert row is not None
    if line.session is None:
        session_create(
            group=groups[row.group.casefold()],
            number=row.number,
            planned_start=row.start,
            planned_end=row.end,
        )
    elif line.verb == Verb.CHANGED:
        session_reschedule(session=line.session, planned_start=row.start, planned_end=row.end)
