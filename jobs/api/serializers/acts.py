from rest_framework import serializers

from jobs.acts.enums import Outcome
from jobs.trackday.models import Trackday

WAITS = "waits"


class ActIn(serializers.Serializer):
    """One thing a person did. The same id again is answered the same and done once."""

    id = serializers.UUIDField(help_text="made by the device, once for each act")
    kind = serializers.CharField(max_length=24, help_text="see /api/acts/kinds/")
    payload = serializers.DictField(help_text="what the kind asks for")
    trackday = serializers.PrimaryKeyRelatedField(
        queryset=Trackday.objects.select_related("venue"), allow_null=True, default=None
    )
    done_at = serializers.DateTimeField(
        allow_null=True, default=None, help_text="by the device's clock"
    )
    offset_s = serializers.FloatField(
        default=0.0, min_value=-31622400, max_value=31622400,
        help_text="seconds to add to the device's clock",
    )  # fmt: skip
    seq = serializers.IntegerField(
        min_value=1, allow_null=True, default=None,
        help_text="its number on an enrolled device: each waits for the ones before it",
    )  # fmt: skip


class ActsIn(serializers.Serializer):
    acts = serializers.ListField(child=ActIn(), allow_empty=False, max_length=100)


class ActOut(serializers.Serializer):
    """The answer to one act, in words a person can be shown."""

    id = serializers.UUIDField()
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


class ActsOut(serializers.Serializer):
    answers = ActOut(many=True)


class KindOut(serializers.Serializer):
    name = serializers.CharField()
    roles = serializers.ListField(child=serializers.CharField())
    payload = serializers.DictField(
        child=serializers.DictField(), help_text="each field: type, required, choices, what for"
    )
