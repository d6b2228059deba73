"""A crash: the bike is held, and this morning's checks and readings are withdrawn."""

import uuid
from typing import Any

from django.core.exceptions import PermissionDenied
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from rest_framework import serializers

from jobs.people.enums import CREW
from jobs.setups.enums import Subject
from jobs.setups.models import Reading
from jobs.setups.services import row_restore, row_withdraw
from jobs.trackday.models import Entry
from jobs.worklist.enums import Cadence, ItemKind, Mark
from jobs.worklist.models import Hold, TaskMark
from jobs.worklist.services import hold_raise, hold_release, mark_restore, mark_withdraw

from ..fields import EntryField, day_set, photo_field, text_field
from ..models import Act
from ..registry import Answer, Context, act, by_act
from .book_target import target_of
from .tick_contents import act_photo_write, contents_withdraw

POINT = "crash"  # the arrival check's own word for it: what reopens a settled bike


class CrashPayload(serializers.Serializer[Any]):
    entry = EntryField()
    words = text_field(300, personal=True)
    photo = photo_field()


def crash_take_back(context: Context, earlier: Act) -> str:
    """It was another bike, or no crash: what was withdrawn is valid again."""
    if not context.by.is_tuner:
        raise PermissionDenied(_("It is held: a tuner takes a crash back."))
    if Hold.objects.filter(pk=earlier.pk, released_at=None).exists():
        reason = _("taken back: no crash")
        hold_release(hold_id=earlier.pk, by=context.by, at=context.done_at, reason=reason)
    for mark in TaskMark.objects.filter(pk__in=earlier.answer["marks"]):
        mark_restore(mark=mark)
    for row in Reading.objects.filter(pk__in=earlier.answer["readings"]):
        row_restore(row=row)
    return _("No crash: what was read and checked this morning stands again.")


@act("crash", payload=CrashPayload, roles=CREW, taken_back=by_act(crash_take_back))
def crash(context: Context, data: dict[str, Any]) -> Answer:
    """Held until a tuner releases it; the arrival check is made again (common practice)."""
    entry: Entry = data["entry"]
    day_set(context, entry.trackday_id)
    words = data["words"] or _("crash: organiser inspects; fork twist, bars, levers, axle")
    photo = act_photo_write(context, entry, data["photo"], subject=Subject.DAMAGE, words=words)
    hold_raise(
        hold_id=context.act_id, entry=entry, words=words, point=POINT, photo=photo,
        by=context.by, at=context.done_at,
    )  # fmt: skip
    marks, readings = _void(context, entry)
    text = _("%(bike)s is held: the organiser inspects it first. Arrival safety is open again.")
    if readings:
        text += " " + ngettext(
            "%(n)d reading of this morning is void.",
            "%(n)d readings of this morning are void.",
            len(readings),
        )
    found = {"marks": _text(marks), "readings": _text(readings)}
    return Answer(text % {"bike": entry, "n": len(readings)}, data=found)


def _void(context: Context, entry: Entry) -> tuple[list[uuid.UUID], list[uuid.UUID]]:
    """Withdraw the checks and readings that are made once a day. Returns the ids of both."""
    once = TaskMark.objects.filter(
        entry=entry, mark=Mark.DONE, withdrawn_at=None, item__cadence=Cadence.ONCE
    ).select_related("item")
    marks = [mark for mark in once if mark.item.safety or mark.item.kind == ItemKind.READING]
    standing = Reading.objects.filter(entry=entry, withdrawn_at=None)
    before = set(standing.values_list("pk", flat=True))
    for mark in marks:
        contents_withdraw(context, mark.pk, entry, context.by)
        mark_withdraw(mark=mark, by=context.by, at=context.done_at)
    for row in standing.filter(session=None):  # entered on the bike sheet
        row_withdraw(origin=target_of(context, {"entry": entry.pk}).origin, row=row)
    void = before - set(standing.values_list("pk", flat=True))
    return [mark.pk for mark in marks], sorted(void)


def _text(ids: list[uuid.UUID]) -> list[str]:
    return [str(one) for one in ids]
