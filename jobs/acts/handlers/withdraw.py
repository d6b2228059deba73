"""Undo: an act that withdraws an earlier act, or a row that it wrote, in any room."""

from typing import Any

from rest_framework import serializers

from jobs.people.enums import CREW

from ..fields import UUIDRowField
from ..models import Act
from ..registry import NEVER, Answer, Context, act
from ..withdrawing import take_back


class WithdrawPayload(serializers.Serializer[Any]):
    row = UUIDRowField(Act, help_text="id of the act, or of the row it made")


@act("withdraw", payload=WithdrawPayload, roles=CREW, taken_back=NEVER)
def withdraw(context: Context, data: dict[str, Any]) -> Answer:
    return take_back(context, data["row"])
