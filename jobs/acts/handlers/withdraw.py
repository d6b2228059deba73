"""Undo: an act that strikes an earlier one through, in whichever room its row lies."""

from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from rest_framework import serializers

from jobs.people.enums import CREW

from ..registry import Answer, Context, act
from ..withdrawing import WITHDRAWERS


class WithdrawPayload(serializers.Serializer):
    row = serializers.UUIDField(help_text="id of the act, or of the row it made")


@act("withdraw", payload=WithdrawPayload, roles=CREW)
def withdraw(context: Context, data: dict[str, Any]) -> Answer:
    for withdrawer in WITHDRAWERS:
        answer = withdrawer(context, data["row"])
        if answer is not None:
            return answer
    raise ValidationError(_("What you want to take back is not here, or cannot be taken back."))
