"""A timetable file against the day, and written into it: all of it or nothing."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from django.db import transaction
from django.utils.translation import gettext as _

from jobs.trackday import clock
from jobs.trackday.models import RunGroup, Session, Trackday
from jobs.trackday.office import day_plan, group_create, session_create, session_plan
from jobs.trackday.services import revision_bump

from .preview import Difference, Line, Preview, Verb, in_order
from .table import Fault
from .timetable import SessionRow, Timetable, timetable_read


@dataclass
class SessionLine(Line):
    row: SessionRow | None = None
    session: Session | None = None


@dataclass
class TimetablePreview(Preview[SessionLine]):
    timetable: Timetable | None = None
    plan: tuple[Difference, ...] = ()

    @property
    def writes(self) -> int:
        return super().writes + len(self.plan)


def timetable_preview(*, trackday: Trackday, text: str) -> TimetablePreview:
    """What importing ``text`` would do to the day's sessions, lunch and close."""
    zone = ZoneInfo(trackday.venue.timezone)
    timetable = timetable_read(text, day=trackday.date, zone=zone)
    sessions = Session.objects.filter(trackday=trackday).select_related("group")
    known = {(s.group.letter.casefold(), s.number): s for s in sessions}
    preview = TimetablePreview(faults=list(timetable.faults), timetable=timetable)
    for row in sorted(timetable.sessions, key=lambda r: (r.start, r.group)):
        session = known.pop((row.group.casefold(), row.number), None)
        preview.lines.append(_line(trackday, row, session, preview.faults))
    preview.gone = [
        _words(trackday, s.planned_start, s.planned_end, str(s)) for s in known.values()
    ]
    preview.plan = tuple(_plan(trackday, timetable))
    preview.faults = in_order(preview.faults)
    return preview


def _line(
    trackday: Trackday, row: SessionRow, session: Session | None, faults: list[Fault]
) -> SessionLine:
    title = _words(trackday, row.start, row.end, f"{row.group} {row.number}")
    line = SessionLine(row.line, title, Verb.NEW, row=row, session=session)
    if session is None:
        return line
    was = (session.planned_start, session.planned_end)
    if was == (row.start, row.end):
        line.verb = Verb.SAME
        return line
    line.verb = Verb.CHANGED
    line.differences.append(
        Difference(_("planned"), _span(trackday, *was), _span(trackday, row.start, row.end))
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


def _plan(trackday: Trackday, timetable: Timetable) -> list[Difference]:
    """What changes about lunch and the track's close."""
    found = []
    if timetable.lunch and timetable.lunch != (trackday.lunch_from, trackday.lunch_to):
        was = ""
        if trackday.lunch_from and trackday.lunch_to:
            was = _span(trackday, trackday.lunch_from, trackday.lunch_to)
        found.append(Difference(_("lunch"), was, _span(trackday, *timetable.lunch)))
    if timetable.close and timetable.close != trackday.closes_at:
        closes = trackday.closes_at
        was = f"{clock.local(trackday, closes):%H:%M}" if closes else ""
        becomes = f"{clock.local(trackday, timetable.close):%H:%M}"
        found.append(Difference(_("track closes"), was, becomes))
    return found


@transaction.atomic
def timetable_write(*, trackday: Trackday, preview: TimetablePreview) -> None:
    """Write a preview that has no faults."""
    groups = {g.letter.casefold(): g for g in RunGroup.objects.filter(trackday=trackday)}
    for letter in sorted({line.row.group for line in preview.lines if line.row}):
        if letter.casefold() not in groups:
            groups[letter.casefold()] = group_create(
                trackday=trackday, letter=letter, order=len(groups)
            )
    for line in preview.lines:
        _write(line, groups)
    if preview.plan and preview.timetable:
        day_plan(
            trackday=trackday,
            lunch=preview.timetable.lunch,
            closes_at=preview.timetable.close,
        )
    revision_bump(trackday_id=trackday.pk)


def _write(line: SessionLine, groups: dict[str, RunGroup]) -> None:
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
        session_plan(session=line.session, planned_start=row.start, planned_end=row.end)
