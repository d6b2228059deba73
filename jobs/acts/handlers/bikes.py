"""Acts about where a bike is, who rides it, in which group, and riders without a booking."""

from typing import Any

from django.utils.translation import gettext as _
from rest_framework import serializers

from jobs.billing.services.absences import entry_expect
from jobs.people.enums import CREW
from jobs.people.models import Rider
from jobs.trackday.enums import Move
from jobs.trackday.models import BikeMove, Entry, GroupChange, RiderChange, ServicePackage
from jobs.trackday.services import (
    entry_group_change,
    entry_group_change_withdraw,
    entry_rider_change,
    entry_rider_change_withdraw,
    entry_walk_up,
    move_record,
    move_withdraw,
)
from jobs.worklist.models import Hold
from jobs.worklist.services import day_checklists_keep

from ..fields import (
    EntryField,
    GroupField,
    SessionField,
    TextField,
    TrackdayField,
    day_set,
    text_field,
)
from ..models import Act
from ..registry import NEVER, Answer, Context, act, by_act


class BikeMovePayload(serializers.Serializer[Any]):
    entry = EntryField()
    session = SessionField(required=False, allow_null=True, default=None)


class WalkUpPayload(serializers.Serializer[Any]):
    trackday = TrackdayField()
    group = GroupField()
    name = TextField(personal=True, max_length=120)
    number = text_field(8, personal=True)
    phone = text_field(40, personal=True)
    bike = text_field(120, personal=True)
    package = serializers.PrimaryKeyRelatedField(
        queryset=ServicePackage.objects.all(), allow_null=True, required=False, default=None
    )


class GroupSwapPayload(serializers.Serializer[Any]):
    entry = EntryField()
    group = GroupField()


class RiderPayload(serializers.Serializer[Any]):
    entry = EntryField()
    rider = serializers.PrimaryKeyRelatedField(
        queryset=Rider.objects.all(), allow_null=True, required=False, default=None
    )
    name = text_field(120, personal=True)
    phone = text_field(40, personal=True)


def _move(context: Context, data: dict[str, Any], move: Move) -> BikeMove:
    entry: Entry = data["entry"]
    day_set(context, entry.trackday_id)
    day_checklists_keep(trackday=entry.trackday)
    if entry.absence and move != Move.GONE_HOME:  # it was cancelled, and here it is
        entry_expect(entry=entry, by=context.by)
    return move_record(
        move_id=context.act_id,
        entry=entry,
        move=move,
        session=data["session"],
        by=context.by,
        at=context.done_at,
    )


def move_take_back(context: Context, earlier: Act) -> str:
    move_withdraw(move=BikeMove.objects.get(pk=earlier.pk), at=context.done_at)
    return _("It is taken back; the bike is where the timetable has it.")


@act("arrived", payload=BikeMovePayload, roles=CREW, taken_back=by_act(move_take_back))
def arrived(context: Context, data: dict[str, Any]) -> Answer:
    _move(context, data, Move.ARRIVED)
    return Answer(_("%(bike)s is here.") % {"bike": data["entry"]})


@act("bike in", payload=BikeMovePayload, roles=CREW, taken_back=by_act(move_take_back))
def bike_in(context: Context, data: dict[str, Any]) -> Answer:
    _move(context, data, Move.BIKE_IN)
    return Answer(_("%(bike)s is in: the hot reads count from now.") % {"bike": data["entry"]})


@act("bike out", payload=BikeMovePayload, roles=CREW, taken_back=by_act(move_take_back))
def bike_out(context: Context, data: dict[str, Any]) -> Answer:
    """A held bike that goes out is recorded as out, because it is true. The hold stays."""
    _move(context, data, Move.BIKE_OUT)
    entry: Entry = data["entry"]
    holds = Hold.objects.filter(bike=entry.bike_id, released_at=None)
    words = [hold.words for hold in holds]
    if words:
        return Answer(
            _("%(bike)s is out though it is held: %(why)s. Tell the tuner; the hold stays.")
            % {"bike": entry, "why": "; ".join(words)}
        )
    return Answer(_("%(bike)s is out.") % {"bike": entry})


@act("did not go out", payload=BikeMovePayload, roles=CREW, taken_back=by_act(move_take_back))
def did_not_go_out(context: Context, data: dict[str, Any]) -> Answer:
    row = _move(context, data, Move.DID_NOT_GO_OUT)
    return Answer(
        _("%(bike)s did not go out in %(session)s.")
        % {"bike": data["entry"], "session": row.session}
    )


@act("gone home", payload=BikeMovePayload, roles=CREW, taken_back=by_act(move_take_back))
def gone_home(context: Context, data: dict[str, Any]) -> Answer:
    _move(context, data, Move.GONE_HOME)
    return Answer(_("%(bike)s has gone home.") % {"bike": data["entry"]})


@act("walk-up", payload=WalkUpPayload, roles=CREW, taken_back=NEVER)
def walk_up(context: Context, data: dict[str, Any]) -> Answer:
    day_set(context, data["trackday"].pk)
    entry = entry_walk_up(at=context.done_at, **data)
    move_record(
        move_id=context.further_id("arrived"),
        entry=entry,
        move=Move.ARRIVED,
        by=context.by,
        at=context.done_at,
    )
    text = _("%(name)s is entered in group %(group)s.")
    if entry.late:
        text = _("%(name)s is entered in group %(group)s, late: safety, pressures, count only.")
    return Answer(text % {"name": entry.rider.name, "group": entry.group}, data={"entry": entry.pk})


def group_swap_take_back(context: Context, earlier: Act) -> str:
    change = GroupChange.objects.select_related("entry", "from_group").get(pk=earlier.pk)
    entry_group_change_withdraw(change=change, at=context.done_at)
    return _("Back in group %(group)s.") % {"group": change.from_group}


@act("group swap", payload=GroupSwapPayload, roles=CREW, taken_back=by_act(group_swap_take_back))
def group_swap(context: Context, data: dict[str, Any]) -> Answer:
    entry: Entry = data["entry"]
    day_set(context, entry.trackday_id)
    change = entry_group_change(
        change_id=context.act_id,
        entry=entry,
        to=data["group"],
        by=context.by,
        at=context.done_at,
    )
    return Answer(
        _("%(bike)s goes from group %(old)s to group %(new)s; its times have moved.")
        % {"bike": entry, "old": change.from_group, "new": change.to_group}
    )


def rider_take_back(context: Context, earlier: Act) -> str:
    change = RiderChange.objects.select_related("entry", "from_rider").get(pk=earlier.pk)
    entry_rider_change_withdraw(change=change, at=context.done_at)
    return _("%(name)s is on the bike again.") % {"name": change.from_rider}


@act("rider on bike", payload=RiderPayload, roles=CREW, taken_back=by_act(rider_take_back))
def rider_on_bike(context: Context, data: dict[str, Any]) -> Answer:
    entry: Entry = data["entry"]
    day_set(context, entry.trackday_id)
    change = entry_rider_change(
        change_id=context.act_id,
        entry=entry,
        to=data["rider"],
        name=data["name"],
        phone=data["phone"],
        by=context.by,
        at=context.done_at,
    )
    return Answer(
        _("%(new)s rides %(bike)s from now on, not %(old)s.")
        % {"new": change.to_rider, "bike": entry, "old": change.from_rider}
    )
