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
from jobs.tuning.knowledge import Direction

from ..fields import EntryField
from ..registry import Answer, Context, act
from ..withdrawing import withdraws
from .book_payloads import choice_field, words_field
from .book_places import place_of, place_of_row


class OverrulePayload(serializers.Serializer):
    entry = EntryField()
    code = serializers.CharField(max_length=12)
    end = serializers.ChoiceField(End.choices)
    function = choice_field(Function)
    direction = serializers.ChoiceField(
        [way.value for way in Direction], required=False, allow_blank=True, default=""
    )
    reason = serializers.CharField(max_length=300)


class AnswerPayload(serializers.Serializer):
    entry = EntryField()
    code = serializers.CharField(max_length=12)
    suspect = serializers.IntegerField(min_value=1)
    yes = serializers.BooleanField()


class SettlePayload(serializers.Serializer):
    entry = EntryField()
    note = words_field()


@act("overrule", payload=OverrulePayload, roles=TUNER)
def overrule(context: Context, data: dict[str, Any]) -> Answer:
    place = place_of(context, {"entry": data.pop("entry").pk})
    row = services.suggestion_overrule(made=place.made, **data)
    return Answer(_("Overruled for today: %(reason)s") % {"reason": row.reason})


@act("answer", payload=AnswerPayload, roles=CREW)
def answer(context: Context, data: dict[str, Any]) -> Answer:
    place = place_of(context, {"entry": data.pop("entry").pk})
    services.question_answer(made=place.made, **data)
    return Answer(_("Noted."))


@act("settle", payload=SettlePayload, roles=TUNER)
def settle(context: Context, data: dict[str, Any]) -> Answer:
    entry = data["entry"]
    place = place_of(context, {"entry": entry.pk})
    row = services.bike_settle(made=place.made, entry=entry, note=data["note"])
    return Answer(_("Settled: leave it alone. Kept as “%(name)s”.") % {"name": row.kept.name})


@withdraws
def advice_back(context: Context, row_id: uuid.UUID) -> Answer | None:
    for model in (Overrule, Answered, Settlement):
        row = model._default_manager.select_related("entry").filter(pk=row_id).first()
        if row is None:
            continue
        if not context.by.is_tuner and not isinstance(row, Answered):
            raise ValidationError(_("What a tuner did, a tuner takes back."))
        row_withdraw(made=place_of_row(context, row).made, row=row)
        return Answer(_("Taken back: %(what)s") % {"what": row})
    return None
