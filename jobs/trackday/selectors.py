"""Reads of trackdays that more than one room needs."""

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta

from django.db.models import Prefetch, QuerySet

from . import clock
from .clock import DayTimes, SessionTimes, TimetableRows
from .models import Delay, Entry, Session, Trackday
from .where import Held, Outing, Whereabouts, sessions_of_entry, whereabouts


def trackday_after(trackday: Trackday) -> Trackday | None:
    """The next day on the calendar."""
    return (
        Trackday.objects.select_related("venue")
        .filter(date__gt=trackday.date)
        .order_by("date", "pk")
        .first()
    )


def event_days(trackday: Trackday) -> list[Trackday]:
    """The days of one event, in order; empty for a day of no event."""
    if not trackday.event:
        return []
    return list(
        Trackday.objects.filter(event=trackday.event, venue=trackday.venue_id).order_by("date")
    )


def trackday_times(
    trackday: Trackday,
    at: datetime | None = None,
    *,
    groups: Iterable[int] | None = None,
    supposing: Sequence[Delay] = (),
) -> DayTimes:
    """When everything of the day is expected, as seen at ``at`` (default now): two queries.

    ``groups``: the sessions of these run groups only. ``supposing``: delays nobody has tapped.
    """
    sessions = trackday.sessions.select_related("group")
    if groups is not None:
        sessions = sessions.filter(group__in=groups)
    timetable = _timetable(trackday, sessions, supposing)
    return clock.day_times(timetable, at or clock.now(trackday))


def rolls_of_days(trackdays: Iterable[int]) -> dict[int, list[datetime]]:
    """By run group, when its sessions of these days began, with every delay: three queries."""
    found: dict[int, list[datetime]] = {}
    days = Trackday.objects.filter(pk__in=list(trackdays)).select_related("venue")
    for trackday in days.prefetch_related("sessions", "delays"):
        _start, end = clock.bounds(trackday)
        timetable = _timetable(trackday, trackday.sessions.all())
        for times in clock.day_times(timetable, end).sessions:
            if times.runs:
                found.setdefault(times.session.group_id, []).append(times.start)
    return found


def session_expected(session: Session, at: datetime) -> SessionTimes:
    """One session as expected at ``at``."""
    (times,) = clock.day_times(_timetable(session.trackday, [session]), at).sessions
    return times


def _timetable(
    trackday: Trackday, sessions: Iterable[Session], supposing: Sequence[Delay] = ()
) -> TimetableRows:
    return TimetableRows(
        sessions=list(sessions),
        delays=[*trackday.delays.all(), *supposing],
        lunch=clock.lunch_of(trackday),
        closes_at=trackday.closes_at,
    )


def by_group(times: Sequence[SessionTimes]) -> dict[int, list[SessionTimes]]:
    """The sessions of each run group, in the order they are expected."""
    found: dict[int, list[SessionTimes]] = {}
    for one in times:
        found.setdefault(one.session.group_id, []).append(one)
    return found


def entries_coming(trackday: Trackday) -> QuerySet[Entry]:
    """The entries of a day that are expected or here; those cancelled are left out."""
    return Entry.objects.filter(trackday=trackday, absence="")


def entries_at_work() -> QuerySet[Entry]:
    """Entries with what a screen at the bike shows of each: day, venue, group, bike, people."""
    return Entry.objects.select_related(
        "trackday__venue", "group", "bike__owner", "rider", "package"
    )


def entry_whereabouts(
    entry: Entry, at: datetime | None = None, holds: list[Held] | None = None
) -> Whereabouts:
    """Where one bike is: four queries. ``holds`` come from the room that keeps them."""
    moment = at or clock.now(entry.trackday)
    changes = list(entry.group_changes.all())
    own = {entry.group_id, *(c.from_group_id for c in changes), *(c.to_group_id for c in changes)}
    groups = by_group(trackday_times(entry.trackday, moment, groups=own).sessions)
    times = sessions_of_entry(entry, changes, groups)
    return whereabouts(times, list(entry.moves.all()), holds or [], moment)


def outings_of_bike(
    bike_id: int, *, at: datetime, since: datetime | None = None, holds: Sequence[Held] = ()
) -> list[Outing]:
    """The outings a bike really made by ``at``, over all its days in order: six queries.

    Sessions it was booked for and not out in are left out: it had not arrived, was held,
    stayed in or had gone home. ``since`` leaves earlier days unread.
    """
    entries = Entry.objects.filter(bike=bike_id).select_related("trackday__venue")
    if since is not None:  # no venue's date is further than a day from UTC's
        first = since.astimezone(UTC).date() - timedelta(days=1)
        entries = entries.filter(trackday__date__gte=first)
    sessions = Prefetch("trackday__sessions", Session.objects.select_related("group"))
    found = []
    for entry in entries.prefetch_related(sessions, "trackday__delays", "moves", "group_changes"):
        day = entry.trackday
        times = clock.day_times(_timetable(day, day.sessions.all()), at).sessions
        own = sessions_of_entry(entry, list(entry.group_changes.all()), by_group(times))
        found += whereabouts(own, list(entry.moves.all()), holds, at).outings
    return sorted((o for o in found if o.went and o.out_at <= at), key=lambda o: o.out_at)
