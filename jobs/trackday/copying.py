"""A day made from another: the same hours by the venue's clock, on another date."""

from collections.abc import Collection
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db import models, transaction
from django.utils.translation import gettext_lazy as _

from .models import CrewDay, Entry, RunGroup, Session, Trackday

ENTRY_FIELDS = ("bike_id", "rider_id", "payer_id", "package_id", "number", "complaint", "note")


class DayPart(models.TextChoices):
    """What of a day can be taken over to another."""

    TIMETABLE = "timetable", _("Timetable, lunch and close")
    CREW = "crew", _("Crew")
    ENTRIES = "entries", _("Entries")
    BAYS = "bays", _("Bays of the entries")


@transaction.atomic
def trackday_copy(
    *, source: Trackday, on: date, name: str, event: str, parts: Collection[str]
) -> Trackday:
    """Make a day at the same venue from another. Entries bring their run groups with them.

    Taken over is what was planned: sessions added on the day, delays, and whatever was done on
    the bikes stay where they are.
    """
    shift = _Shift(source, on)
    day = Trackday(
        venue=source.venue,
        name=name,
        date=on,
        event=event,
        lunch_least_minutes=source.lunch_least_minutes,
    )
    if DayPart.TIMETABLE in parts:
        day.closes_at = shift.moved(source.closes_at)
        day.lunch_from = shift.moved(source.lunch_from)
        day.lunch_to = shift.moved(source.lunch_to)
    if DayPart.CREW in parts:
        day.named_crew = source.named_crew
    day.full_clean()
    day.save()
    groups: dict[int, RunGroup] = {}
    if {DayPart.TIMETABLE, DayPart.ENTRIES} & set(parts):
        groups = _groups(source, day)
    if DayPart.TIMETABLE in parts:
        _sessions(source, day, groups, shift)
    if DayPart.CREW in parts:
        _crew(source, day, shift)
    if DayPart.ENTRIES in parts:
        _entries(source, day, groups, with_bays=DayPart.BAYS in parts)
    return day


class _Shift:
    """Moments moved to another date: 09:00 stays 09:00 though the clocks changed between."""

    def __init__(self, source: Trackday, on: date) -> None:
        self.zone = ZoneInfo(source.venue.timezone)
        self.days = on - source.date

    def moved(self, moment: datetime | None) -> datetime | None:
        return None if moment is None else self.at(moment)

    def at(self, moment: datetime) -> datetime:
        local = moment.astimezone(self.zone)
        clock = time(local.hour, local.minute, local.second)
        return datetime.combine(local.date() + self.days, clock, self.zone).astimezone(UTC)


def _groups(source: Trackday, day: Trackday) -> dict[int, RunGroup]:
    """The new day's groups, by the id of the group each was taken from."""
    return {
        group.pk: RunGroup.objects.create(
            trackday=day, letter=group.letter, name=group.name, order=group.order
        )
        for group in source.groups.all()
    }


def _sessions(source: Trackday, day: Trackday, groups: dict[int, RunGroup], shift: _Shift) -> None:
    Session.objects.bulk_create(
        Session(
            trackday=day,
            group=groups[session.group_id],
            number=session.number,
            planned_start=shift.at(session.planned_start),
            planned_end=shift.at(session.planned_end),
        )
        for session in source.sessions.filter(added=False)
    )


def _crew(source: Trackday, day: Trackday, shift: _Shift) -> None:
    times = ("joins_at", "leaves_at", "lunch_from", "lunch_to")
    CrewDay.objects.bulk_create(
        CrewDay(
            trackday=day,
            user_id=member.user_id,
            **{name: shift.moved(getattr(member, name)) for name in times},
        )
        for member in source.crew.filter(user__is_active=True)
    )


def _entries(
    source: Trackday, day: Trackday, groups: dict[int, RunGroup], *, with_bays: bool
) -> None:
    Entry.objects.bulk_create(
        Entry(
            trackday=day,
            group=groups[entry.group_id],
            bay=entry.bay if with_bays else "",
            **{name: getattr(entry, name) for name in ENTRY_FIELDS},
        )
        for entry in source.entries.filter(absence="").order_by("pk")
    )


def next_day(trackday: Trackday) -> date:
    return trackday.date + timedelta(days=1)
