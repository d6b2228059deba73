from typing import Any

from rest_framework import serializers

from jobs.acts.enums import Outcome
from jobs.acts.fields import MomentField
from jobs.acts.models import LARGEST_SEQ, MOST_VERSIONS
from jobs.trackday.models import Trackday

WAITS = "waits"


class ActIn(serializers.Serializer[Any]):
    """One act of a person. The same id again gets the same answer and is applied once."""

    id = serializers.UUIDField(help_text="made by the device, once for each act")
    kind = serializers.CharField(max_length=24, help_text="see /api/acts/kinds/")
    version = serializers.IntegerField(
        min_value=1, max_value=MOST_VERSIONS, allow_null=True, default=None,
        help_text="of the payload; today's if left out",
    )  # fmt: skip
    payload = serializers.DictField(help_text="what the kind asks for")
    trackday = serializers.PrimaryKeyRelatedField(
        queryset=Trackday.objects.select_related("venue"), allow_null=True, default=None
    )
    done_at = MomentField(
        earliest=1970, allow_null=True, default=None, help_text="by the device's clock"
    )
    offset_s = serializers.FloatField(
        default=0.0, min_value=-31622400, max_value=31622400,
        help_text="seconds to add to the device's clock",
    )  # fmt: skip
    seq = serializers.IntegerField(
        min_value=1, max_value=LARGEST_SEQ, allow_null=True, default=None,
        help_text="its number on an enrolled device: each waits for the ones before it",
    )  # fmt: skip


class ActOut(serializers.Serializer[Any]):
    """The answer to one act, in words a person can be shown."""

    id = serializers.UUIDField(allow_null=True, help_text="null where it could not be read")
    outcome = serializers.ChoiceField(
        [*Outcome.values, WAITS],
        help_text="applied; unplaced: kept, a person must place it; refused; "
        "waits: send the act numbered `expected` first",
    )
    already = serializers.BooleanField(help_text="known before: nothing was done again")
    text = serializers.CharField()
    made = serializers.DictField(help_text="ids of what it made")
    revision = serializers.IntegerField(allow_null=True, help_text="of the trackday, after it")
    expected = serializers.IntegerField(allow_null=True)


class ActsOut(serializers.Serializer[Any]):
    answers = ActOut(many=True)


class ActsWait(serializers.Serializer[Any]):
    """The server cannot write now. Send what has no answer again; the same ids are safe."""

    answers = ActOut(many=True)
    error = serializers.CharField(help_text="why, in words")


class KindOut(serializers.Serializer[Any]):
    name = serializers.CharField()
    version = serializers.IntegerField()
    roles = serializers.ListField(child=serializers.CharField())
    taken_back = serializers.CharField(help_text="how it is taken back by a withdraw act")
    payload = serializers.DictField(
        child=serializers.DictField(),
        help_text="each field: its type, whether it must be there, what it may hold",
    )
