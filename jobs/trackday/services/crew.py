"""Who works on the day, from when to when."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from jobs.people.enums import CREW
from jobs.people.models import User

from ..models import CrewDay, Trackday


def crew_join(*, trackday: Trackday, user: User, at: datetime | None = None) -> CrewDay:
    """A crew member is here from ``at`` on (None: from the start of the day)."""
    if user.role not in CREW:
        raise ValidationError(
            _("%(name)s is neither tuner nor helper.") % {"name": user.display_name}
        )
    member, made = CrewDay.objects.get_or_create(
        trackday=trackday, user=user, defaults={"joins_at": at}
    )
    if not made and member.leaves_at is not None:
        member.leaves_at = None
        member.save(update_fields=["leaves_at"])
    return member


def crew_leave(*, trackday: Trackday, user: User, at: datetime) -> CrewDay:
    """A crew member leaves at ``at``; their tasks go to the others from then on."""
    member = CrewDay.objects.filter(trackday=trackday, user=user).first()
    if member is None:
        raise ValidationError(_("%(name)s is not in today's crew.") % {"name": user.display_name})
    member.leaves_at = at
    member.save(update_fields=["leaves_at"])
    return member


def crew_times(
    *,
    trackday: Trackday,
    user: User,
    joins_at: datetime | None,
    leaves_at: datetime | None,
    lunch_from: datetime | None,
    lunch_to: datetime | None,
) -> CrewDay:
    """From when to when a crew member is here, and when at lunch (None: no such limit)."""
    member = CrewDay.objects.filter(trackday=trackday, user=user).first()
    if member is None:
        raise ValidationError(_("%(name)s is not in today's crew.") % {"name": user.display_name})
    if joins_at is not None and leaves_at is not None and leaves_at <= joins_at:
        raise ValidationError(_("The end is not after the beginning."))
    if (lunch_from is None) != (lunch_to is None):
        raise ValidationError(_("Lunch needs a beginning and a length."))
    if lunch_from is not None and lunch_to is not None and lunch_to <= lunch_from:
        raise ValidationError(_("Lunch needs a beginning and a length."))
    member.joins_at, member.leaves_at = joins_at, leaves_at
    member.lunch_from, member.lunch_to = lunch_from, lunch_to
    member.save(update_fields=["joins_at", "leaves_at", "lunch_from", "lunch_to"])
    return member


def lunches_stagger(
    *, trackday: Trackday, start: datetime, end: datetime, minutes: int
) -> Sequence[CrewDay]:
    """Everybody's lunch, one turn after another from ``start``, none past ``end``.

    Tuners take turns among themselves, and so do helpers: never are all of them away at once.
    """
    turns = int((end - start) / timedelta(minutes=minutes)) if minutes > 0 else 0
    if turns < 1:
        raise ValidationError(_("One turn of lunch is longer than the time for it."))
    of_day = CrewDay.objects.filter(trackday=trackday)
    crew = list(of_day.select_related("user", "trackday__venue"))
    tuners = [member for member in crew if member.user.is_tuner]
    helpers = [member for member in crew if not member.user.is_tuner]
    for members in (tuners, helpers):
        for number, member in enumerate(members):
            member.lunch_from = start + timedelta(minutes=minutes * (number % turns))
            member.lunch_to = member.lunch_from + timedelta(minutes=minutes)
    CrewDay.objects.bulk_update(crew, ["lunch_from", "lunch_to"])
    return crew
