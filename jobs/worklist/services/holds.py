"""Holds: anyone raises one; only a tuner releases the one they saw."""

import uuid
from datetime import datetime

from django.core.exceptions import PermissionDenied, ValidationError
from django.utils.translation import gettext as _

from jobs.people.enums import TrailEvent
from jobs.people.models import User
from jobs.people.trail import trail_note
from jobs.setups.models import BikePhoto
from jobs.trackday.models import Entry

from ..models import ChecklistItem, Hold


def hold_raise(
    *,
    hold_id: uuid.UUID,
    entry: Entry,
    words: str,
    by: User,
    at: datetime,
    item: ChecklistItem | None = None,
    point: str = "",
    photo: BikePhoto | None = None,
) -> Hold:
    """Stop a bike, in words, freely or for a point of a checklist that failed."""
    if not words.strip():
        raise ValidationError(_("Say in a few words why the bike is held."))
    return Hold.objects.create(
        id=hold_id,
        bike=entry.bike,
        entry=entry,
        words=words.strip(),
        item=item,
        point=point,
        photo=photo,
        raised_by=by,
        raised_at=at,
    )


def hold_release(*, hold_id: uuid.UUID, by: User, at: datetime, reason: str) -> Hold:
    """Release exactly this hold; others on the bike stay. A second release changes nothing."""
    if not by.is_tuner:
        raise PermissionDenied(_("Only a tuner releases a hold."))
    if not reason.strip():
        raise ValidationError(_("Say what was found or mended: a release has a reason."))
    hold = Hold.objects.get(pk=hold_id)
    if hold.released_at is not None:
        raise ValidationError(
            _("%(name)s released this hold already.") % {"name": hold.released_by}
        )
    hold.released_by, hold.released_at, hold.release_reason = by, at, reason.strip()
    hold.save(update_fields=["released_by", "released_at", "release_reason"])
    trail_note(TrailEvent.HOLD_RELEASED, by=by, ref=hold.pk)
    return hold
