"""The one clock: what time it is at a trackday, and when each session is now expected.

Planned times never change. Expected = planned + the delays that reach it; lunch takes up
a delay as far as it can be shortened. Without a flag tap a session runs by its expected
times. Everything here is derived from rows and writes nothing.

A day's times are read with ``selectors.trackday_times``. What they are derived from is one
value, ``TimetableRows``, all of whose fields are required: nobody can leave out a delay or lunch.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from jobs.people.dates import date_in

from .enums import SessionState
from .models import Delay, Session, Trackday


def day_time(trackday: Trackday, real: datetime) -> datetime:
    """The day's own time at a real time; they differ only in a demo or a bench."""
    if trackday.clock_anchor is None or trackday.clock_set_at is None:
        return real
    return trackday.clock_anchor + (real - trackday.clock_set_at) * float(trackday.clock_rate)


def now(trackday: Trackday) -> datetime:
    """What time it is at this trackday, in UTC."""
    return day_time(trackday, datetime.now(UTC))


def local(trackday: Trackday, moment: datetime) -> datetime:
    """A moment in the venue's time zone, for showing only."""
    return moment.astimezone(zone(trackday))


def zone(trackday: Trackday) -> ZoneInfo:
    return ZoneInfo(trackday.venue.timezone)


def today(trackday: Trackday) -> date:
    """The date it really is at the day's venue. A demo's clock is not asked."""
    return date_in(trackday.venue.timezone)


def midnight(trackday: Trackday) -> datetime:
    """When the day begins at its venue, in UTC."""
    return datetime.combine(trackday.date, time(), zone(trackday)).astimezone(UTC)


def bounds(trackday: Trackday) -> tuple[datetime, datetime]:
    """When the day begins at its venue, and when the next one does, in UTC.

    23 or 25 hours lie between them where the clocks are changed.
    """
    next_day = datetime.combine(trackday.date + timedelta(days=1), time(), zone(trackday))
    return midnight(trackday), next_day.astimezone(UTC)


def is_over(trackday: Trackday) -> bool:
    """Whether the next day has begun at the venue."""
    return now(trackday) >= bounds(trackday)[1]


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


@dataclass(frozen=True)
class TimetableRows:
    """Everything that the expected times of a day are derived from."""

    sessions: Sequence[Session]
    delays: Sequence[Delay]
    lunch: Lunch | None
    closes_at: datetime | None


@dataclass(frozen=True)
class DayTimes:
    """When everything of a day is expected, as seen at ``at``."""

    at: datetime
    sessions: Sequence[SessionTimes]  # in the order they are expected
    delays: Sequence[Delay]
    lunch: tuple[datetime, datetime] | None
    # Sessions now expected to end after the track closes: a person cancels them, or not.
    beyond_close: Sequence[SessionTimes]

    @property
    def ahead(self) -> list[SessionTimes]:
        """The sessions that have not started: what a delay can still move."""
        return [times for times in self.sessions if times.state == SessionState.PLANNED]

    @property
    def next_planned(self) -> datetime | None:
        """For when the first session not yet started was planned: a delay begins there."""
        return min((times.session.planned_start for times in self.ahead), default=None)


def day_times(timetable: TimetableRows, at: datetime) -> DayTimes:
    """When every session of a day, and lunch, are expected, as seen at ``at``."""
    times = [_session_times(timetable, session, at) for session in timetable.sessions]
    times.sort(key=lambda t: (t.start, t.session.group_id, t.session.number))
    close = timetable.closes_at
    return DayTimes(
        at=at,
        sessions=times,
        delays=timetable.delays,
        lunch=_lunch_times(timetable),
        beyond_close=[t for t in times if close is not None and not t.over and t.end > close],
    )


def _delay_minutes(timetable: TimetableRows, planned: datetime) -> int:
    """The delay, in minutes, that reaches a session planned for that time.

    Delays from before lunch reach the afternoon only with what the break cannot take up.
    """
    reaching = [
        delay
        for delay in timetable.delays
        if delay.withdrawn_at is None
        and delay.session_id is None
        and delay.from_planned <= planned
        and (delay.until_planned is None or planned < delay.until_planned)
    ]
    total = sum(delay.minutes for delay in reaching)
    lunch = timetable.lunch
    if lunch is None or planned < lunch.end:
        return total
    morning = sum(delay.minutes for delay in reaching if delay.from_planned < lunch.end)
    return total - min(max(morning, 0), lunch.spare_minutes)


def _lunch_times(timetable: TimetableRows) -> tuple[datetime, datetime] | None:
    """From when to when lunch is now expected; None on a day without one."""
    lunch = timetable.lunch
    if lunch is None:
        return None
    start = lunch.start + timedelta(minutes=max(0, _delay_minutes(timetable, lunch.start)))
    end = lunch.end + timedelta(minutes=_delay_minutes(timetable, lunch.end))
    return start, max(end, start + lunch.least)


def _session_times(timetable: TimetableRows, session: Session, at: datetime) -> SessionTimes:
    """Where one session stands at ``at``."""
    moved = _delay_minutes(timetable, session.planned_start) + sum(
        delay.minutes
        for delay in timetable.delays
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
