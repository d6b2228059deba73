"""The one clock: what time it is at a trackday, and when each session is now expected.

Planned times never change. Expected = planned + the delays that reach it; lunch takes up
a delay as far as it can be shortened. Without a flag tap a session runs by its expected
times. Everything here is derived and pure of writes; callers hand in the rows so that a
page costs the same queries at any size.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from .enums import SessionState
from .models import Delay, Session, Trackday


def shown(trackday: Trackday, real: datetime) -> datetime:
    """The day's own time at a real time; they differ only in a demo or a bench."""
    if trackday.clock_anchor is None or trackday.clock_set_at is None:
        return real
    return trackday.clock_anchor + (real - trackday.clock_set_at) * float(trackday.clock_rate)


def now(trackday: Trackday) -> datetime:
    """What time it is at this trackday, in UTC."""
    return shown(trackday, datetime.now(UTC))


def local(trackday: Trackday, moment: datetime) -> datetime:
    """A moment in the venue's time zone, for showing only."""
    return moment.astimezone(ZoneInfo(trackday.venue.timezone))


@dataclass(frozen=True)
class Lunch:
    """The planned break: it starts no earlier, and is shortened to no less than ``least``."""

    start: datetime
    end: datetime
    least: timedelta

    @property
    def spare_minutes(self) -> int:
        """How much of a morning's delay the break can take up."""
        return max(0, round((self.end - self.start - self.least).total_seconds() / 60))


def lunch_of(trackday: Trackday) -> Lunch | None:
    """The day's lunch, if it has one."""
    if trackday.lunch_from is None or trackday.lunch_to is None:
        return None
    least = timedelta(minutes=trackday.lunch_least_minutes)
    return Lunch(trackday.lunch_from, trackday.lunch_to, least)


@dataclass(frozen=True)
class SessionTimes:
    """One session as it stands: planned, moved by delays, overruled by flags."""

    session: Session
    start: datetime
    end: datetime
    state: SessionState

    @property
    def late_minutes(self) -> int:
        return round((self.start - self.session.planned_start).total_seconds() / 60)

    @property
    def over(self) -> bool:
        return self.state in (
            SessionState.FINISHED,
            SessionState.CUT_SHORT,
            SessionState.CANCELLED,
        )

    @property
    def runs(self) -> bool:
        """Whether bikes go (or went) out in it at all."""
        return self.state != SessionState.CANCELLED


def delay_minutes(planned: datetime, delays: Iterable[Delay], lunch: Lunch | None = None) -> int:
    """The delay, in minutes, that reaches a session planned for that time.

    Delays from before lunch reach the afternoon only with what the break cannot take up.
    """
    reaching = [
        delay
        for delay in delays
        if delay.withdrawn_at is None
        and delay.session_id is None
        and delay.from_planned <= planned
        and (delay.until_planned is None or planned < delay.until_planned)
    ]
    total = sum(delay.minutes for delay in reaching)
    if lunch is None or planned < lunch.end:
        return total
    morning = sum(delay.minutes for delay in reaching if delay.from_planned < lunch.end)
    return total - min(max(morning, 0), lunch.spare_minutes)


def lunch_times(lunch: Lunch, delays: Sequence[Delay]) -> tuple[datetime, datetime]:
    """From when to when lunch is now expected."""
    start = lunch.start + timedelta(minutes=max(0, delay_minutes(lunch.start, delays)))
    end = lunch.end + timedelta(minutes=delay_minutes(lunch.end, delays, lunch))
    return start, max(end, start + lunch.least)


def session_times(
    session: Session, delays: Sequence[Delay], at: datetime, lunch: Lunch | None = None
) -> SessionTimes:
    """Where one session stands at ``at``."""
    moved = delay_minutes(session.planned_start, delays, lunch) + sum(
        delay.minutes
        for delay in delays
        if delay.session_id == session.pk and delay.withdrawn_at is None
    )
    start = session.actual_start or session.planned_start + timedelta(minutes=moved)
    length = session.planned_end - session.planned_start
    end = session.actual_end or start + length
    return SessionTimes(session, start, end, _state(session, start, end, at))


def _state(session: Session, start: datetime, end: datetime, at: datetime) -> SessionState:
    if session.cancelled_at is not None:
        return SessionState.CANCELLED
    if at < start:
        return SessionState.PLANNED
    if at < end:
        return SessionState.RUNNING
    return SessionState.CUT_SHORT if session.cut_short else SessionState.FINISHED


def day_times(
    sessions: Iterable[Session],
    delays: Sequence[Delay],
    at: datetime,
    lunch: Lunch | None = None,
) -> list[SessionTimes]:
    """Every session of a day in the order it is expected."""
    times = [session_times(session, delays, at, lunch) for session in sessions]
    return sorted(times, key=lambda t: (t.start, t.session.group_id, t.session.number))


def beyond_close(trackday: Trackday, times: Iterable[SessionTimes]) -> list[SessionTimes]:
    """Sessions now expected to end after the track closes: a person cancels them, or not."""
    if trackday.closes_at is None:
        return []
    return [t for t in times if not t.over and t.end > trackday.closes_at]
