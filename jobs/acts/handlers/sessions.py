"""Acts about the timetable: delays, flags, sessions cut short, cancelled, added, and lunch."""

from datetime import datetime, timedelta
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from rest_framework import serializers

from jobs.people.enums import CREW
from jobs.trackday import clock
from jobs.trackday.models import Delay, Session, Trackday
from jobs.trackday.services import (
    delay_add,
    delay_withdraw,
    lunch_set,
    session_add,
    session_cancel,
    session_flag,
    session_restore,
    session_start,
    sessions_trade,
)

from ..fields import GroupField, MomentField, SessionField, TrackdayField, day_set, text_field
from ..models import Act
from ..registry import NEVER, Answer, Context, act, by_act, payload_of


class DelayPayload(serializers.Serializer[Any]):
    trackday = TrackdayField()
    minutes = serializers.IntegerField(min_value=-180, max_value=180)
    one_session_only = serializers.BooleanField(default=False)
    reason = text_field(120, personal=True)

    def validate_minutes(self, minutes: int) -> int:
        if minutes == 0:
            raise serializers.ValidationError(_("A delay of 0 minutes moves nothing."))
        return minutes


class SessionPayload(serializers.Serializer[Any]):
    session = SessionField()


class SessionAddPayload(serializers.Serializer[Any]):
    group = GroupField()
    planned_start = MomentField()
    minutes = serializers.IntegerField(min_value=5, max_value=120)


class TradePayload(serializers.Serializer[Any]):
    session = SessionField()
    other = SessionField()


class LunchPayload(serializers.Serializer[Any]):
    trackday = TrackdayField()
    start = MomentField()
    end = MomentField()
    least_minutes = serializers.IntegerField(min_value=0, max_value=180)


def delay_take_back(context: Context, earlier: Act) -> str:
    rows = Delay.objects.filter(
        pk__in=[earlier.pk, Context(earlier.pk, context.by, context.done_at).further_id("other")]
    )
    for row in rows:
        delay_withdraw(delay=row, at=context.done_at)
    return _("The times are as they were before.")


@act("delay", payload=DelayPayload, roles=CREW, taken_back=by_act(delay_take_back))
def delay(context: Context, data: dict[str, Any]) -> Answer:
    trackday: Trackday = data["trackday"]
    day_set(context, trackday.pk)
    row = delay_add(
        delay_id=context.act_id,
        trackday=trackday,
        minutes=data["minutes"],
        one_session_only=data["one_session_only"],
        reason=data["reason"],
        by=context.by,
        at=context.done_at,
    )
    if row.minutes < 0:
        text = ngettext(
            "%(n)d minute taken off everything not yet started.",
            "%(n)d minutes taken off everything not yet started.",
            -row.minutes,
        ) % {"n": -row.minutes}
    elif row.until_planned:
        text = _("The next session is moved by %(n)d minutes; the rest stays.") % {"n": row.minutes}
    else:
        text = ngettext(
            "Everything not yet started is moved by %(n)d minute.",
            "Everything not yet started is moved by %(n)d minutes.",
            row.minutes,
        ) % {"n": row.minutes}
    return Answer(text, data={"delay": str(row.pk)})


def _stood(session: Session) -> dict[str, Any]:
    """The times and state of a session before an act, kept to take the act back."""
    return {
        name: value.isoformat() if isinstance(value, datetime) else value
        for name in ("actual_start", "actual_end", "cancelled_at", "cut_short")
        for value in [getattr(session, name)]
    }


def session_take_back(context: Context, earlier: Act) -> str:
    session = Session.objects.select_related("group").get(pk=payload_of(earlier)["session"])
    session_restore(session=session, was=earlier.answer["was"])
    return _("Session %(s)s is as it was before.") % {"s": session}


@act("session start", payload=SessionPayload, roles=CREW, taken_back=by_act(session_take_back))
def start(context: Context, data: dict[str, Any]) -> Answer:
    session: Session = data["session"]
    day_set(context, session.trackday_id)
    was = _stood(session)
    session_start(session=session, at=context.done_at)
    return Answer(
        _("Session %(s)s started at %(at)s.") % {"s": session, "at": _at(session, context)},
        data={"was": was},
    )


@act("session flag", payload=SessionPayload, roles=CREW, taken_back=by_act(session_take_back))
def flag(context: Context, data: dict[str, Any]) -> Answer:
    return _flag(context, data["session"], cut_short=False)


@act("session cut short", payload=SessionPayload, roles=CREW, taken_back=by_act(session_take_back))
def cut_short(context: Context, data: dict[str, Any]) -> Answer:
    return _flag(context, data["session"], cut_short=True)


def _flag(context: Context, session: Session, *, cut_short: bool) -> Answer:
    day_set(context, session.trackday_id)
    was = _stood(session)
    session_flag(session=session, at=context.done_at, cut_short=cut_short)
    text = _("Session %(s)s cut short at %(at)s.") if cut_short else _("Flag for %(s)s at %(at)s.")
    return Answer(text % {"s": session, "at": _at(session, context)}, data={"was": was})


@act("session cancel", payload=SessionPayload, roles=CREW, taken_back=by_act(session_take_back))
def cancel(context: Context, data: dict[str, Any]) -> Answer:
    session: Session = data["session"]
    day_set(context, session.trackday_id)
    was = _stood(session)
    session_cancel(session=session, at=context.done_at)
    return Answer(_("Session %(s)s is cancelled.") % {"s": session}, data={"was": was})


def added_take_back(context: Context, earlier: Act) -> str:
    session = Session.objects.select_related("group", "trackday").get(pk=earlier.answer["session"])
    session_cancel(session=session, at=context.done_at)
    return _("Session %(s)s is cancelled.") % {"s": session}


@act("session added", payload=SessionAddPayload, roles=CREW, taken_back=by_act(added_take_back))
def added(context: Context, data: dict[str, Any]) -> Answer:
    group = data["group"]
    day_set(context, group.trackday_id)
    session = session_add(
        group=group,
        planned_start=data["planned_start"],
        planned_end=data["planned_start"] + timedelta(minutes=data["minutes"]),
        at=context.done_at,
    )
    when = clock.local(group.trackday, session.planned_start)
    return Answer(
        _("Session %(s)s added at %(at)s.") % {"s": session, "at": f"{when:%H:%M}"},
        data={"session": session.pk},
    )


@act("session trade", payload=TradePayload, roles=CREW, taken_back=by_act(delay_take_back))
def trade(context: Context, data: dict[str, Any]) -> Answer:
    first, second = data["session"], data["other"]
    day_set(context, first.trackday_id)
    sessions_trade(
        delay_id=context.act_id, first=first, second=second, by=context.by, at=context.done_at
    )
    return Answer(_("%(a)s and %(b)s have traded places.") % {"a": first, "b": second})


@act("lunch", payload=LunchPayload, roles=CREW, taken_back=NEVER)
def lunch(context: Context, data: dict[str, Any]) -> Answer:
    trackday: Trackday = data["trackday"]
    day_set(context, trackday.pk)
    was = {
        "start": trackday.lunch_from and trackday.lunch_from.isoformat(),
        "end": trackday.lunch_to and trackday.lunch_to.isoformat(),
        "least_minutes": trackday.lunch_least_minutes,
    }
    lunch_set(
        trackday=trackday,
        start=data["start"],
        end=data["end"],
        least_minutes=data["least_minutes"],
    )
    return Answer(_("Lunch is set."), data={"was": was})


def _at(session: Session, context: Context) -> str:
    return f"{clock.local(session.trackday, context.done_at):%H:%M}"
