"""What the setup book's acts carry. Ids are checked to exist by the handlers' look-ups."""

from decimal import Decimal
from typing import Any

from rest_framework import serializers

from jobs.garage.enums import End, OilState, TyreState
from jobs.setups.enums import Phase, ReadingKind, SetupKind, Subject, Verdict


def position_field(**options: Any) -> serializers.DecimalField:
    return serializers.DecimalField(max_digits=8, decimal_places=3, **options)


def words_field(length: int = 300) -> serializers.CharField:
    return serializers.CharField(max_length=length, required=False, allow_blank=True, default="")


def expected_field(length: int) -> serializers.CharField:
    """Left out, a change by order has the order's; an empty one says that it has none."""
    return serializers.CharField(max_length=length, required=False, allow_blank=True)


def choice_field(choices: Any) -> serializers.ChoiceField:
    return serializers.ChoiceField(choices.choices, required=False, allow_blank=True, default="")


def pace_field() -> serializers.ChoiceField:
    """The rider's word on his pace against the outing before."""
    choices = ["quicker", "same", "slower"]
    return serializers.ChoiceField(choices, required=False, allow_blank=True, default="")


def photo_field() -> serializers.UUIDField:
    """A photo that comes with the act; its file was stored first, under this id."""
    return serializers.UUIDField(required=False, allow_null=True, default=None)


class Moved(serializers.Serializer):
    """One adjuster of a change: where the doer found it and where he left it."""

    adjuster = serializers.IntegerField()
    from_position = position_field()
    to_position = position_field()


class OfBike(serializers.Serializer):
    """Every act of the book hangs on an entry of a trackday, or on a bike in winter."""

    entry = serializers.IntegerField(required=False, allow_null=True, default=None)
    bike = serializers.IntegerField(required=False, allow_null=True, default=None)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs.get("entry") is None and attrs.get("bike") is None:
            raise serializers.ValidationError("Say which bike it is: an entry or a bike.")
        return attrs


class ChangePayload(OfBike):
    """A pair of legs is one act with two moves; so is preload with its rebound check."""

    moves = Moved(many=True, allow_empty=False)
    reason = words_field()
    oil = choice_field(OilState)
    oil_reason = words_field(200)
    step_reason = words_field(200)
    second_reason = words_field(200)
    tyre_state = choice_field(TyreState)
    order = serializers.UUIDField(required=False, allow_null=True, default=None)
    rests_on = serializers.UUIDField(required=False, allow_null=True, default=None)
    read_back = serializers.BooleanField(required=False, default=False)
    expectation = expected_field(300)
    condition = expected_field(120)
    finding = serializers.UUIDField(required=False, allow_null=True, default=None)


class Counted(serializers.Serializer):
    adjuster = serializers.IntegerField()
    position = position_field()
    second_count = position_field(required=False, allow_null=True, default=None)
    highest = position_field(required=False, allow_null=True, default=None)


class CountPayload(OfBike):
    """Positions found: the first of a day is the baseline, later ones are recounts."""

    counts = Counted(many=True, allow_empty=False)
    turned_by = words_field(80)
    reason = words_field()


class ReadBackPayload(serializers.Serializer):
    row = serializers.UUIDField()
    position = position_field()


class OrderPayload(OfBike):
    moves = Moved(many=True, allow_empty=False)
    reason = words_field()
    step_reason = words_field(200)
    second_reason = words_field(200)
    tyre_state = choice_field(TyreState)
    expectation = words_field()
    condition = words_field(120)
    finding = serializers.UUIDField(required=False, allow_null=True, default=None)


class PlacePayload(serializers.Serializer):
    row = serializers.UUIDField()


class Number(serializers.Serializer):
    name = serializers.CharField(max_length=20)
    value = serializers.DecimalField(max_digits=10, decimal_places=3)
    unit = serializers.CharField(max_length=8)
    index = serializers.IntegerField(min_value=0, required=False, default=0)


class ReadingPayload(OfBike):
    kind = serializers.ChoiceField(ReadingKind.choices)
    end = choice_field(End)
    values = Number(many=True, allow_empty=False)
    tyre_state = choice_field(TyreState)
    oil = choice_field(OilState)
    minutes_since_stop = serializers.DecimalField(
        max_digits=6, decimal_places=1, min_value=Decimal(0), required=False, allow_null=True,
        default=None,
    )  # fmt: skip
    gauge = serializers.IntegerField(required=False, allow_null=True, default=None)
    note = words_field()


class FindingPayload(OfBike):
    words = words_field(2000)
    code = words_field(12)
    end = choice_field(End)
    phase = choice_field(Phase)
    corner = words_field(60)
    place = words_field(20)
    by_rider = serializers.BooleanField(required=False, default=False)
    stop = serializers.CharField(
        required=False,
        allow_blank=True,
        default="",
        max_length=300,
        help_text="the stop condition that is seen, in the catalogue's words: holds the bike",
    )
    photo = photo_field()


class ExpectationPayload(serializers.Serializer):
    row = serializers.UUIDField(help_text="the change it is about")
    text = serializers.CharField(max_length=300)
    condition = words_field(120)
    finding = serializers.UUIDField(required=False, allow_null=True, default=None)


class JudgementPayload(serializers.Serializer):
    expectation = serializers.UUIDField()
    verdict = serializers.ChoiceField(Verdict.choices)
    like_pace = serializers.BooleanField(required=False, allow_null=True, default=None)
    pace = pace_field()
    words = words_field()


class PhotoPayload(OfBike):
    """The file comes first, under ``photo``, an id its device made."""

    photo = serializers.UUIDField()
    subject = serializers.ChoiceField(Subject.choices)
    end = choice_field(End)
    place = words_field(20)
    words = words_field()


class KeepPayload(OfBike):
    kind = serializers.ChoiceField(SetupKind.choices)
    name = words_field(60)
    note = words_field()


class MovePayload(serializers.Serializer):
    rows = serializers.ListField(child=serializers.UUIDField(), allow_empty=False)
    to = serializers.IntegerField(help_text="the entry they belong to")


class AdjusterPayload(OfBike):
    adjuster = serializers.IntegerField()
    state = serializers.ChoiceField(["broken", "mended", "proven", "open"])
    words = words_field(200)
