"""Holds: raised by anyone, released one at a time by a tuner who saw it."""

from typing import Any

from django.utils.translation import gettext as _
from rest_framework import serializers

from jobs.people.enums import CREW
from jobs.setups.enums import Subject
from jobs.worklist.models import Hold
from jobs.worklist.services import hold_raise, hold_release

from ..fields import EntryField, TextField, day_set, photo_field
from ..registry import NEVER, Answer, Context, act
from .tick_contents import act_photo_write


class HoldPayload(serializers.Serializer[Any]):
    entry = EntryField()
    words = TextField(personal=True, max_length=300)
    photo = photo_field()


class ReleasePayload(serializers.Serializer[Any]):
    hold = serializers.PrimaryKeyRelatedField(queryset=Hold.objects.select_related("entry__bike"))
    reason = TextField(personal=True, max_length=300)


@act("hold", payload=HoldPayload, roles=CREW, taken_back=NEVER)
def hold(context: Context, data: dict[str, Any]) -> Answer:
    day_set(context, data["entry"].trackday_id)
    entry = data["entry"]
    photo = act_photo_write(
        context, entry, data["photo"], subject=Subject.DAMAGE, words=data["words"]
    )
    row = hold_raise(
        hold_id=context.act_id,
        entry=entry,
        words=data["words"],
        photo=photo,
        by=context.by,
        at=context.done_at,
    )
    return Answer(
        _("%(bike)s is held. Only a tuner releases it.") % {"bike": entry},
        data={"hold": str(row.pk)},
    )


@act("release", payload=ReleasePayload, roles=CREW, taken_back=NEVER)
def release(context: Context, data: dict[str, Any]) -> Answer:
    """Release the one hold that the tuner saw. A hold raised meanwhile stays."""
    seen: Hold = data["hold"]
    if context.trackday_id is None:
        day_set(context, seen.entry.trackday_id)
    hold_release(hold_id=seen.pk, by=context.by, at=context.done_at, reason=data["reason"])
    left = Hold.objects.filter(bike=seen.bike_id, released_at=None).count()
    text = _("Released: %(words)s.") % {"words": seen.words}
    if left:
        text += " " + _("The bike is still held for something else.")
    return Answer(text, data={"still_held": left})
