"""What a person enters about a session: started, flagged, cut short, cancelled, added."""

from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from .. import clock
from ..enums import SessionState
from ..models import RunGroup, Session, Trackday
from ..selectors import session_expected, trackday_times


def session_start(*, session: Session, at: datetime) -> Session:
    """The green flag was seen at ``at``."""
    _not_cancelled(session)
    if session.actual_end is not None:
        raise ValidationError(_("Session %(s)s is over already.") % {"s": session})
    session.actual_start = at
    session.save(update_fields=["actual_start"])
    return session


def session_flag(*, session: Session, at: datetime, cut_short: bool = False) -> Session:
    """The session ended at ``at``: by its own flag, or cut short."""
    _not_cancelled(session)
    times = session_expected(session, at)
    if times.state == SessionState.PLANNED:
        raise ValidationError(
            _("Session %(s)s has not started. Tap start first, or cancel it.") % {"s": session}
        )
    # The start as it was: a delay tapped later must not move what has begun.
    session.actual_start = times.start
    session.actual_end = max(at, times.start + timedelta(seconds=1))
    session.cut_short = cut_short
    session.save(update_fields=["actual_start", "actual_end", "cut_short"])
    return session


def session_cancel(*, session: Session, at: datetime) -> Session:
    """The session does not run; its tasks are not asked for."""
    if session_expected(session, at).state not in (SessionState.PLANNED, SessionState.RUNNING):
        raise ValidationError(_("Session %(s)s is over already.") % {"s": session})
    session.cancelled_at = at
    session.save(update_fields=["cancelled_at"])
    return session


def session_restore(*, session: Session, was: dict[str, str | bool | None]) -> Session:
    """Put a session back to what it was before an act that was withdrawn."""
    for name in ("actual_start", "actual_end", "cancelled_at"):
        value = was[name]
        setattr(session, name, datetime.fromisoformat(str(value)) if value else None)
    session.cut_short = bool(was["cut_short"])
    session.save(update_fields=["actual_start", "actual_end", "cancelled_at", "cut_short"])
    return session


def session_add(
    *, group: RunGroup, planned_start: datetime, planned_end: datetime, at: datetime
) -> Session:
    """One more session for a group, which the printed timetable does not have."""
    if planned_end <= planned_start:
        raise ValidationError(_("The session ends before it starts."))
    for times in trackday_times(group.trackday, at).sessions:
        if times.session.group_id != group.pk or not times.runs:
            continue
        if planned_start < times.end and times.start < planned_end:
            raise ValidationError(
                _("Group %(group)s is out from %(start)s to %(end)s already.")
                % {
                    "group": group,
                    "start": f"{clock.local(group.trackday, times.start):%H:%M}",
                    "end": f"{clock.local(group.trackday, times.end):%H:%M}",
                }
            )
    last = group.sessions.order_by("-number").first()
    return Session.objects.create(
        trackday=group.trackday,
        group=group,
        number=last.number + 1 if last else 1,
        planned_start=planned_start,
        planned_end=planned_end,
        added=True,
    )


def lunch_set(
    *, trackday: Trackday, start: datetime, end: datetime, least_minutes: int
) -> Trackday:
    """When lunch is planned, and how short a delay may make it."""
    if end <= start:
        raise ValidationError(_("Lunch ends before it starts."))
    if timedelta(minutes=least_minutes) > end - start:
        raise ValidationError(_("The least length of lunch is longer than lunch itself."))
    trackday.lunch_from, trackday.lunch_to = start, end
    trackday.lunch_least_minutes = least_minutes
    trackday.save(update_fields=["lunch_from", "lunch_to", "lunch_least_minutes"])
    return trackday


def _not_cancelled(session: Session) -> None:
    if session.cancelled_at is not None:
        raise ValidationError(_("Session %(s)s was cancelled.") % {"s": session})
