"""What people decide about the plan: give a task to somebody, pin it, put it off, drop it."""

from typing import Any

from django.utils.translation import gettext as _
from rest_framework import serializers

from jobs.people.enums import CREW
from jobs.people.models import User
from jobs.worklist.models import PlanWish
from jobs.worklist.services import offer_answer, wish_record, wish_withdraw

from ..fields import SessionField, TextField, TrackdayField, day_set
from ..models import Act
from ..registry import NEVER, Answer, Context, act, by_act
from .work import TaskPayload


class SwapPersonPayload(TaskPayload):
    person = serializers.PrimaryKeyRelatedField(queryset=User.objects.filter(role__in=CREW))


class PinPayload(SwapPersonPayload):
    start_minute = serializers.IntegerField(
        min_value=0, max_value=2160, help_text="minutes elapsed since local midnight"
    )


class PutOffPayload(TaskPayload):
    after_session = SessionField(help_text="to be done when the bike is back from this one")


class OfferPayload(serializers.Serializer[Any]):
    trackday = TrackdayField()
    offer = TextField(personal=False, max_length=40, help_text="the id of the round on offer")


def wish_take_back(context: Context, earlier: Act) -> str:
    wish_withdraw(wish=PlanWish.objects.get(pk=earlier.pk), at=context.done_at)
    return _("The planner decides again.")


@act("swap person", payload=SwapPersonPayload, roles=CREW, taken_back=by_act(wish_take_back))
def swap_person(context: Context, data: dict[str, Any]) -> Answer:
    _record(context, data, person=data["person"])
    return Answer(
        _("%(name)s takes it: %(task)s.") % {"name": data["person"], "task": data["item"]}
    )


@act("pin", payload=PinPayload, roles=CREW, taken_back=by_act(wish_take_back))
def pin(context: Context, data: dict[str, Any]) -> Answer:
    _record(context, data, person=data["person"], start_minute=data["start_minute"])
    return Answer(_("Pinned: %(task)s.") % {"task": data["item"]})


@act("drop", payload=TaskPayload, roles=CREW, taken_back=by_act(wish_take_back))
def drop(context: Context, data: dict[str, Any]) -> Answer:
    _record(context, data, dropped=True)
    return Answer(_("Dropped from the plan: %(task)s.") % {"task": data["item"]})


@act("put off", payload=PutOffPayload, roles=CREW, taken_back=by_act(wish_take_back))
def put_off(context: Context, data: dict[str, Any]) -> Answer:
    _record(context, data, after_session=data["after_session"])
    return Answer(
        _("Put off until it is back from %(session)s: %(task)s.")
        % {"session": data["after_session"], "task": data["item"]}
    )


@act("take round", payload=OfferPayload, roles=CREW, taken_back=NEVER)
def take_round(context: Context, data: dict[str, Any]) -> Answer:
    _answer(context, data, take=True)
    return Answer(_("The better round is in force: everybody's round shows what is new."))


@act("leave round", payload=OfferPayload, roles=CREW, taken_back=NEVER)
def leave_round(context: Context, data: dict[str, Any]) -> Answer:
    _answer(context, data, take=False)
    return Answer(_("The round stays as it is."))


def _answer(context: Context, data: dict[str, Any], *, take: bool) -> None:
    day_set(context, data["trackday"].pk)
    offer_answer(trackday=data["trackday"], offer_id=data["offer"], take=take, at=context.done_at)


def _record(context: Context, data: dict[str, Any], **wish: Any) -> None:
    day_set(context, data["entry"].trackday_id)
    wish_record(
        wish_id=context.act_id,
        entry=data["entry"],
        session=data["session"],
        item=data["item"],
        by=context.by,
        at=context.done_at,
        **wish,
    )
