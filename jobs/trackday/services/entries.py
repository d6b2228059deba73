"""During the day: entries without a booking, changes of the run group, changes of the rider."""

import uuid
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from jobs.garage.models import Bike
from jobs.people.models import Customer, Rider, User

from ..enums import SessionState
from ..models import Entry, GroupChange, RiderChange, RunGroup, ServicePackage, Trackday
from ..selectors import by_group, trackday_times


def entry_walk_up(
    *,
    trackday: Trackday,
    group: RunGroup,
    name: str,
    at: datetime,
    number: str = "",
    phone: str = "",
    bike: str = "",
    package: ServicePackage | None = None,
) -> Entry:
    """Enter somebody who had not booked: number, group, name, phone; the rest later.

    Late when the group has been out already: then safety, pressures and count only.
    """
    if group.trackday_id != trackday.pk:
        raise ValidationError(_("Group %(group)s is not of this day.") % {"group": group})
    package = package or ServicePackage.objects.filter(active=True).first()
    if package is None:
        raise ValidationError(_("There is no service package yet: add one in the desk first."))
    customer = Customer.objects.create(name=name, phone=phone)
    rider = Rider.objects.create(customer=customer, name=name, phone=phone)
    make, _space, model = (bike.strip() or _("bike not noted")).partition(" ")
    return Entry.objects.create(
        trackday=trackday,
        group=group,
        bike=Bike.objects.create(owner=customer, make=make, model=model),
        rider=rider,
        payer=customer,
        package=package,
        number=number,
        late=group_has_been_out(group, at),
    )


def group_has_been_out(group: RunGroup, at: datetime) -> bool:
    """Whether the first session of a group has started."""
    sessions = by_group(trackday_times(group.trackday, at).sessions).get(group.pk, [])
    return any(t.state != SessionState.PLANNED for t in sessions if t.runs)


def entry_group_change(
    *, change_id: uuid.UUID, entry: Entry, to: RunGroup, by: User, at: datetime
) -> GroupChange:
    """A rider moves to another group; the outings before stay the old group's."""
    if to.trackday_id != entry.trackday_id:
        raise ValidationError(_("Group %(group)s is not of this day.") % {"group": to})
    if to.pk == entry.group_id:
        raise ValidationError(_("This bike is in group %(group)s already.") % {"group": to})
    change = GroupChange.objects.create(
        id=change_id, entry=entry, from_group=entry.group, to_group=to, at=at, by=by
    )
    entry.group = to
    entry.save(update_fields=["group"])
    return change


def entry_rider_change(
    *,
    change_id: uuid.UUID,
    entry: Entry,
    by: User,
    at: datetime,
    to: Rider | None = None,
    name: str = "",
    phone: str = "",
) -> RiderChange:
    """Somebody else rides this bike from now on: a rider we know, or a new name."""
    if to is None:
        if not name.strip():
            raise ValidationError(_("Who rides it? Choose a rider or write a name."))
        to = Rider.objects.create(customer=entry.payer, name=name.strip(), phone=phone)
    if to.pk == entry.rider_id:
        raise ValidationError(_("%(name)s is on this bike already.") % {"name": to})
    if Entry.objects.filter(trackday=entry.trackday_id, bike=entry.bike_id, rider=to).exists():
        raise ValidationError(
            _("%(name)s has an own entry on this bike: use that one.") % {"name": to}
        )
    change = RiderChange.objects.create(
        id=change_id, entry=entry, from_rider=entry.rider, to_rider=to, at=at, by=by
    )
    entry.rider = to
    entry.save(update_fields=["rider"])
    return change


def entry_group_change_withdraw(*, change: GroupChange, at: datetime) -> None:
    """Back to the group before, unless a later change followed this one."""
    _withdraw_last(change, GroupChange.objects.filter(entry=change.entry), at)
    change.entry.group = change.from_group
    change.entry.save(update_fields=["group"])


def entry_rider_change_withdraw(*, change: RiderChange, at: datetime) -> None:
    """Back to the rider before, unless a later change followed this one."""
    _withdraw_last(change, RiderChange.objects.filter(entry=change.entry), at)
    change.entry.rider = change.from_rider
    change.entry.save(update_fields=["rider"])


def _withdraw_last(
    change: GroupChange | RiderChange,
    of_entry: QuerySet[GroupChange] | QuerySet[RiderChange],
    at: datetime,
) -> None:
    if of_entry.filter(withdrawn_at=None, at__gt=change.at).exists():
        raise ValidationError(_("A later change rests on it: take that one back first."))
    change.withdrawn_at = at
    change.save(update_fields=["withdrawn_at"])
