"""What the office writes of a trackday: groups, sessions, entries, lunch, the track's close."""

from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import Max
from django.utils.text import slugify
from django.utils.translation import gettext as _

from jobs.garage.models import Bike
from jobs.people.models import Customer, Rider

from .models import Entry, RunGroup, ServicePackage, Session, Trackday
from .services import revision_bump


def package_save(*, package: ServicePackage) -> ServicePackage:
    """Enter or change a service package. Without a code it gets one made from its name.

    Raises ValidationError where another package on offer is called the same: an entries' file
    names packages by name or code.
    """
    others = ServicePackage.objects.exclude(pk=package.pk)
    if package.active and others.filter(active=True, name__iexact=package.name).exists():
        raise ValidationError(
            {"name": _("There is already a package called “%(name)s”.") % {"name": package.name}}
        )
    if not package.code:
        package.code = _free_code(slugify(package.name)[:40] or "package")
    if package._state.adding and not package.order:
        last = ServicePackage.objects.aggregate(last=Max("order"))["last"] or 0
        package.order = last + 1
    package.full_clean()
    package.save()
    return package


def _free_code(code: str) -> str:
    taken = set(ServicePackage.objects.values_list("code", flat=True))
    numbered = (f"{code}-{number}" for number in range(2, len(taken) + 3))
    return next(one for one in (code, *numbered) if one not in taken)


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


def group_pace_set(*, group: RunGroup, pace: str) -> None:
    """Say how fast a run group rides; empty: not known."""
    group.pace = pace
    group.save(update_fields=["pace"])


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


def session_enter(
    *, trackday: Trackday, letter: str, planned_start: datetime, planned_end: datetime
) -> Session:
    """Enter one session: it gets the next number of its group; a new letter is a new group."""
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


def session_reschedule(*, session: Session, planned_start: datetime, planned_end: datetime) -> None:
    """Change the planned times of a session. The caller has checked that it has not begun."""
    session.planned_start, session.planned_end = planned_start, planned_end
    session.save(update_fields=["planned_start", "planned_end"])


def lunch_and_close_plan(
    *,
    trackday: Trackday,
    lunch: tuple[datetime, datetime] | None,
    closes_at: datetime | None,
) -> None:
    """Set the planned lunch and the track's planned close; None leaves what the day has."""
    if lunch is not None:
        trackday.lunch_from, trackday.lunch_to = lunch
    if closes_at is not None:
        trackday.closes_at = closes_at
    trackday.save(update_fields=["lunch_from", "lunch_to", "closes_at"])
