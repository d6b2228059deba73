"""Delays: each moves the sessions not yet started; a delay of minus as many undoes it."""

import uuid
from datetime import datetime

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from jobs.people.models import User

from ..enums import SessionState
from ..models import Delay, Session, Trackday
from ..selectors import trackday_times


def delay_add(
    *,
    delay_id: uuid.UUID,
    trackday: Trackday,
    minutes: int,
    by: User,
    at: datetime,
    one_session_only: bool = False,
    reason: str = "",
) -> Delay:
    """Move every session not yet started, or only the next one."""
    times = trackday_times(trackday, at)
    first = times.next_planned
    if first is None:
        raise ValidationError(_("No session is left to move: every one has started."))
    starts = (ahead.session.planned_start for ahead in times.ahead)
    later = [start for start in starts if start > first]
    return Delay.objects.create(
        id=delay_id,
        trackday=trackday,
        minutes=minutes,
        from_planned=first,
        until_planned=min(later) if one_session_only and later else None,
        reason=reason,
        by=by,
        at=at,
    )


def delay_withdraw(*, delay: Delay, at: datetime) -> None:
    """Take a delay back; a second time changes nothing."""
    if delay.withdrawn_at is None:
        delay.withdrawn_at = at
        delay.save(update_fields=["withdrawn_at"])


def sessions_trade(
    *,
    delay_id: uuid.UUID,
    first: Session,
    second: Session,
    by: User,
    at: datetime,
) -> list[Delay]:
    """Two sessions trade places: each runs at the time of the other."""
    if first.trackday_id != second.trackday_id or first.pk == second.pk:
        raise ValidationError(_("Two different sessions of one day can trade places."))
    times = {t.session.pk: t for t in trackday_times(first.trackday, at).sessions}
    here, there = times[first.pk], times[second.pk]
    for one in (here, there):
        if one.state != SessionState.PLANNED:
            raise ValidationError(
                _("Session %(session)s has started or is over: it cannot trade places.")
                % {"session": one.session}
            )
    minutes = round((there.start - here.start).total_seconds() / 60)
    return [
        Delay.objects.create(
            id=delay_id if number == 0 else uuid.uuid5(delay_id, "other"),
            trackday=first.trackday,
            session=session,
            minutes=moved,
            from_planned=session.planned_start,
            reason=_("traded places"),
            by=by,
            at=at,
        )
        for number, (session, moved) in enumerate(((first, minutes), (second, -minutes)))
    ]
