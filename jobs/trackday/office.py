"""The day as the office writes it: trackdays, sessions, entries, lunch, the close."""

from datetime import datetime
from typing import Any

from django.db.models import Max

from jobs.garage.models import Bike
from jobs.people.models import Customer, Rider

from .models import Entry, RunGroup, ServicePackage, Session, Trackday
from .services import revision_bump


def entry_create(
    *,
    trackday: Trackday,
    group: RunGroup,
    bike: Bike,
    rider: Rider,
    package: ServicePackage,
    payer: Customer | None = None,
    number: str = "",
    bay: str = "",
    ref: str = "",
    complaint: str = "",
    note: str = "",
) -> Entry:
    """Book one bike and rider. Unless somebody else is named, the bike's owner pays."""
    return Entry.objects.create(
        trackday=trackday,
        group=group,
        bike=bike,
        rider=rider,
        package=package,
        payer=payer or bike.owner,
        number=number,
        bay=bay,
        ref=ref,
        complaint=complaint,
        note=note,
    )


def entry_update(*, entry: Entry, changes: dict[str, Any]) -> None:
    """Set the named fields of an entry, and no others."""
    for name, value in changes.items():
        setattr(entry, name, value)
    entry.save(update_fields=list(changes))


def group_create(*, trackday: Trackday, letter: str, order: int) -> RunGroup:
    return RunGroup.objects.create(trackday=trackday, letter=letter, order=order)


def session_create(
    *, group: RunGroup, number: int, planned_start: datetime, planned_end: datetime
) -> Session:
    return Session.objects.create(
        trackday_id=group.trackday_id,
        group=group,
        number=number,
        planned_start=planned_start,
        planned_end=planned_end,
    )


def session_type(
    *, trackday: Trackday, letter: str, planned_start: datetime, planned_end: datetime
) -> Session:
    """A session typed by hand, the next number of its group; a new letter is a new group."""
    group = RunGroup.objects.filter(trackday=trackday, letter__iexact=letter).first()
    if group is None:
        order = RunGroup.objects.filter(trackday=trackday).count()
        group = group_create(trackday=trackday, letter=letter, order=order)
    last = Session.objects.filter(group=group).aggregate(last=Max("number"))["last"] or 0
    session = session_create(
        group=group, number=last + 1, planned_start=planned_start, planned_end=planned_end
    )
    revision_bump(trackday_id=trackday.pk)
    return session


def session_plan(*, session: Session, planned_start: datetime, planned_end: datetime) -> None:
    """Put a session elsewhere in the plan. For one that has not begun: the caller has asked."""
    session.planned_start, session.planned_end = planned_start, planned_end
    session.save(update_fields=["planned_start", "planned_end"])


def day_plan(
    *,
    trackday: Trackday,
    lunch: tuple[datetime, datetime] | None,
    closes_at: datetime | None,
) -> None:
    """Lunch and the track's close as planned; None leaves what the day has."""
    if lunch is not None:
        trackday.lunch_from, trackday.lunch_to = lunch
    if closes_at is not None:
        trackday.closes_at = closes_at
    trackday.save(update_fields=["lunch_from", "lunch_to", "closes_at"])
