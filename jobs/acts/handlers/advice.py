"""Acts of advice: overrule a suggestion, answer a question, call a bike settled."""

import uuid
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from rest_framework import serializers

from jobs.advice import services
from jobs.advice.models import Answered, Overrule, Settlement
from jobs.garage.enums import End, Function
from jobs.people.access import TUNER
from jobs.people.enums import CREW
from jobs.setups.services import row_withdraw
from jobs.tuning.knowledge import ChangeDirection

from ..fields import EntryField, TextField, text_field
from ..registry import BY_ROW, Answer, Context, act
from ..withdrawing import withdraws
from .book_payloads import choice_field
from .book_target import target_of, target_of_row


class OverrulePayload(serializers.Serializer[Any]):
    entry = EntryField()
    code = TextField(personal=False, max_length=12)
    end = serializers.ChoiceField(End.choices)
    function = choice_field(Function)
    direction = serializers.ChoiceField(
        [way.value for way in ChangeDirection], required=False, allow_blank=True, default=""
    )
    reason = TextField(personal=True, max_length=300)


class AnswerPayload(serializers.Serializer[Any]):
    entry = EntryField()
    code = TextField(personal=False, max_length=12)
    suspect = serializers.IntegerField(min_value=1, max_value=100)
    yes = serializers.BooleanField()


class SettlePayload(serializers.Serializer[Any]):
    entry = EntryField()
    note = text_field(300, personal=True)


@act("overrule", payload=OverrulePayload, roles=TUNER, taken_back=BY_ROW)
def overrule(context: Context, data: dict[str, Any]) -> Answer:
    target = target_of(context, {"entry": data.pop("entry").pk})
    row = services.suggestion_overrule(origin=target.origin, **data)
    return Answer(_("Overruled for today: %(reason)s") % {"reason": row.reason})


@act("answer", payload=AnswerPayload, roles=CREW, taken_back=BY_ROW)
def answer(context: Context, data: dict[str, Any]) -> Answer:
    target = target_of(context, {"entry": data.pop("entry").pk})
    services.question_answer(origin=target.origin, **data)
    return Answer(_("Noted."))


@act("settle", payload=SettlePayload, roles=TUNER, taken_back=BY_ROW)
def settle(context: Context, data: dict[str, Any]) -> Answer:
    entry = data["entry"]
    target = target_of(context, {"entry": entry.pk})
    row = services.bike_settle(origin=target.origin, entry=entry, note=data["note"])
    return Answer(_("Settled: leave it alone. Kept as “%(name)s”.") % {"name": row.kept.name})


@withdraws
def advice_back(context: Context, row_id: uuid.UUID) -> Answer | None:
    for model in (Overrule, Answered, Settlement):
        row = model._default_manager.select_related("entry").filter(pk=row_id).first()
        if row is None:
            continue
        if not context.by.is_tuner and not isinstance(row, Answered):
            raise ValidationError(_("What a tuner did, a tuner takes back."))
        row_withdraw(origin=target_of_row(context, row).origin, row=row)
        return Answer(_("Taken back: %(what)s") % {"what": row})
    return None
