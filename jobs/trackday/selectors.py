"""Reads of the day that more than one room needs."""

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta

from django.db.models import Case, DateField, F, Prefetch, When

from . import clock
from .clock import SessionTimes
from .models import Entry, Session, Trackday
from .where import Held, Outing, Whereabouts, entry_times, whereabouts


def trackday_at_hand() -> Trackday | None:
    """The day people mean without naming one: today's, else the next, else the last.

    A demo day is today whatever the calendar says. One query.
    """
    today = datetime.now(UTC).date()
    near = Case(
        When(clock_anchor__isnull=False, then=0),
        When(date=today, then=1),
        When(date__gt=today, then=2),
        default=3,
    )
    ahead = Case(When(date__gt=today, then=F("date")), output_field=DateField())
    return (
        Trackday.objects.select_related("venue")
        .annotate(near=near, ahead=ahead)
        .order_by("near", F("ahead").asc(nulls_last=True), "-date", "pk")
        .first()
    )


def trackday_after(trackday: Trackday) -> Trackday | None:
    """The next day on the calendar."""
    return (
        Trackday.objects.select_related("venue")
        .filter(date__gt=trackday.date)
        .order_by("date", "pk")
        .first()
    )


def event_days(trackday: Trackday) -> list[Trackday]:
    """The days of one event, in order; a day on its own has no others to show."""
    if not trackday.event:
        return []
    return list(
        Trackday.objects.filter(event=trackday.event, venue=trackday.venue_id).order_by("date")
    )


def trackday_times(
    trackday: Trackday, at: datetime | None = None, groups: Iterable[int] | None = None
) -> list[SessionTimes]:
    """Every session of the day, or of some groups, as expected at ``at`` (default now).

    Two queries.
    """
    moment = at or clock.now(trackday)
    sessions = trackday.sessions.select_related("group")
    if groups is not None:
        sessions = sessions.filter(group__in=groups)
    return clock.day_times(sessions, list(trackday.delays.all()), moment, clock.lunch_of(trackday))


def session_expected(session: Session, at: datetime) -> SessionTimes:
    """One session as expected at ``at``."""
    trackday = session.trackday
    return clock.session_times(session, list(trackday.delays.all()), at, clock.lunch_of(trackday))


def by_group(times: list[SessionTimes]) -> dict[int, list[SessionTimes]]:
    """The sessions of each run group, in the order they are expected."""
    found: dict[int, list[SessionTimes]] = {}
    for one in times:
        found.setdefault(one.session.group_id, []).append(one)
    return found


def entry_whereabouts(
    entry: Entry, at: datetime | None = None, holds: list[Held] | None = None
) -> Whereabouts:
    """Where one bike is: four queries. ``holds`` come from the room that keeps them."""
    moment = at or clock.now(entry.trackday)
    changes = list(entry.group_changes.all())
    own = {entry.group_id, *(c.from_group_id for c in changes), *(c.to_group_id for c in changes)}
    groups = by_group(trackday_times(entry.trackday, moment, own))
    times = entry_times(entry, changes, groups)
    return whereabouts(times, list(entry.moves.all()), holds or [], moment)


def outings_of_bike(
    bike_id: int, *, at: datetime, since: datetime | None = None, holds: Sequence[Held] = ()
) -> list[Outing]:
    """The outings a bike truly went on by ``at``, over all its days in order: six queries.

    Not those it was booked for: a bike that had not arrived, was held, stayed in or had gone
    home was not out. ``since`` leaves earlier days unread.
    """
    entries = Entry.objects.filter(bike=bike_id).select_related("trackday__venue")
    if since is not None:
        entries = entries.filter(trackday__date__gte=since.date() - timedelta(days=1))
    sessions = Prefetch("trackday__sessions", Session.objects.select_related("group"))
    found = []
    for entry in entries.prefetch_related(sessions, "trackday__delays", "moves", "group_changes"):
        day = entry.trackday
        times = clock.day_times(day.sessions.all(), list(day.delays.all()), at, clock.lunch_of(day))
        own = entry_times(entry, list(entry.group_changes.all()), by_group(times))
        found += whereabouts(own, list(entry.moves.all()), holds, at).outings
    return sorted((o for o in found if o.went and o.out_at <= at), key=lambda o: o.out_at)
