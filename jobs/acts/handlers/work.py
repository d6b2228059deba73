"""Work on tasks: start, tick with its points and words, skip."""

from typing import Any

from django.core.exceptions import PermissionDenied
from django.utils.translation import gettext as _
from rest_framework import serializers

from jobs.billing.services.absences import entry_expect
from jobs.people.enums import CREW
from jobs.setups.enums import Subject
from jobs.setups.models import BikePhoto
from jobs.trackday import clock
from jobs.trackday.enums import Move
from jobs.trackday.models import BikeMove, Entry
from jobs.trackday.services import move_record
from jobs.worklist.enums import Mark, Point, Skill
from jobs.worklist.models import ChecklistItem, TaskMark
from jobs.worklist.services import hold_raise, mark_withdraw, task_mark

from ..fields import EntryField, SessionField, TextField, day_set, photo_field, text_field
from ..models import Act
from ..registry import Answer, Context, act, by_act
from .book_payloads import (
    choice_field,
    pace_field,
    readings_without_oil_reason,
    without_place,
)
from .tick_contents import (
    MOST_ROWS,
    RiderWords,
    TickCount,
    TickReading,
    act_photo_write,
    contents_withdraw,
    contents_write,
)


class TaskPayload(serializers.Serializer[Any]):
    entry = EntryField()
    session = SessionField(required=False, allow_null=True, default=None)
    item = serializers.PrimaryKeyRelatedField(
        queryset=ChecklistItem.objects.select_related("checklist")
    )


class TickPayload(TaskPayload):
    points = serializers.DictField(child=TextField(personal=False), default=dict)
    words = TextField(personal=True, allow_blank=True, default="")
    wheel_touched = serializers.BooleanField(default=False)
    readings = TickReading(many=True, default=list)
    counts = TickCount(many=True, default=list)
    turned_by = text_field(80, personal=True)
    said = RiderWords(many=True, default=list)
    photo = photo_field(essential=True)
    subject = choice_field(Subject)
    pace = pace_field()

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        bike_id = attrs["entry"].bike_id
        if any(counted["adjuster"].bike_id != bike_id for counted in attrs["counts"]):
            raise serializers.ValidationError(_("A counted adjuster is on another bike."))
        if any(len(attrs[name]) > MOST_ROWS for name in ("readings", "said")):
            raise serializers.ValidationError(_("Too many readings for one task."))
        return attrs


class SkipPayload(TaskPayload):
    reason = TextField(personal=True, max_length=200)


def mark_take_back(context: Context, earlier: Act) -> str:
    mark = TaskMark.objects.select_related("item", "entry").get(pk=earlier.pk)
    contents_withdraw(context, mark.pk, mark.entry, context.by)
    mark_withdraw(mark=mark, by=context.by, at=context.done_at)
    text = _("“%(task)s” is open again.") % {"task": mark.item}
    if earlier.answer.get("held"):
        text += " " + _("The hold stays until a tuner releases it.")
    return text


@act("start task", payload=TaskPayload, roles=CREW, taken_back=by_act(mark_take_back))
def start_task(context: Context, data: dict[str, Any]) -> Answer:
    _mark(context, data, Mark.STARTED)
    return Answer(_("You are on it: the others no longer see it as theirs."))


@act(
    "tick",
    payload=TickPayload,
    roles=CREW,
    taken_back=by_act(mark_take_back),
    upcasters=(without_place, readings_without_oil_reason),
)
def tick(context: Context, data: dict[str, Any]) -> Answer:
    earlier = _done_already(data)
    row = _mark(
        context,
        data,
        Mark.DONE,
        points=data["points"],
        words=data["words"],
        wheel_touched=data["wheel_touched"],
    )
    warnings = contents_write(context, data["entry"], data)
    held = _hold_failed(context, row, _photo(context, row, data))
    if held:
        return Answer(
            _("%(bike)s is held: %(why)s. Only a tuner releases it.")
            % {"bike": data["entry"], "why": "; ".join(held)},
            data={"held": held},
        )
    if earlier is not None and Point.FAIL not in earlier.points.values():
        at = f"{clock.local(data['entry'].trackday, earlier.done_at):%H:%M}"
        return Answer(
            _("%(name)s did it at %(at)s already; both are kept.") % {"name": earlier.by, "at": at}
        )
    return Answer(" ".join([_("Done: %(task)s.") % {"task": row.item}, *warnings]))


@act("skip", payload=SkipPayload, roles=CREW, taken_back=by_act(mark_take_back))
def skip(context: Context, data: dict[str, Any]) -> Answer:
    row = _mark(context, data, Mark.SKIPPED, reason=data["reason"])
    return Answer(_("Skipped: %(task)s.") % {"task": row.item})


def _mark(context: Context, data: dict[str, Any], mark: Mark, **more: Any) -> TaskMark:
    entry: Entry = data["entry"]
    item: ChecklistItem = data["item"]
    day_set(context, entry.trackday_id)
    if item.skill == Skill.TUNER and not context.by.is_tuner:
        raise PermissionDenied(_("“%(task)s” is a tuner's work.") % {"task": item})
    _arrive(context, entry)
    return task_mark(
        mark_id=context.act_id,
        entry=entry,
        session=data["session"],
        item=item,
        mark=mark,
        by=context.by,
        at=context.done_at,
        **more,
    )


def _arrive(context: Context, entry: Entry) -> None:
    """Record that the bike has arrived, if nobody has: whoever works on it has seen it."""
    if entry.absence:  # it was cancelled, and here it is
        entry_expect(entry=entry, by=context.by)
    if not BikeMove.objects.filter(entry=entry, withdrawn_at=None).exists():
        move_record(
            move_id=context.further_id("arrived"),
            entry=entry,
            move=Move.ARRIVED,
            by=context.by,
            at=context.done_at,
        )


def _done_already(data: dict[str, Any]) -> TaskMark | None:
    return (
        TaskMark.objects.filter(
            entry=data["entry"],
            session=data["session"],
            item__code=data["item"].code,
            mark=Mark.DONE,
            withdrawn_at=None,
        )
        .select_related("by")
        .first()
    )


def _photo(context: Context, row: TaskMark, data: dict[str, Any]) -> BikePhoto | None:
    """Write the photo of a tick: of the subject asked for, else of the damage if a point failed."""
    failed = Point.FAIL in row.points.values()
    subject = data["subject"] or (Subject.DAMAGE if failed else Subject.BIKE)
    words = row.words or row.item.text
    return act_photo_write(
        context, row.entry, data["photo"], subject=subject, words=words, end=row.item.end
    )


def _hold_failed(context: Context, row: TaskMark, photo: BikePhoto | None) -> list[str]:
    """Raise one hold for each failed point of a safety check. Returns the texts of these points."""
    if not row.item.safety:
        return []
    texts = {point["code"]: point["text"] for point in row.item.points}
    failed = [code for code, found in row.points.items() if found == Point.FAIL]
    for code in failed:
        hold_raise(
            hold_id=context.further_id(f"hold {code}"),
            entry=row.entry,
            words=row.words or _("not passed: %(point)s") % {"point": texts[code]},
            item=row.item,
            point=code,
            photo=photo,
            by=context.by,
            at=context.done_at,
        )
    return [texts[code] for code in failed]
