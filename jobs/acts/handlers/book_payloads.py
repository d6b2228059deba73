"""Payloads of the setup book's acts. The handlers look up the rows that are named by id."""

from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _
from rest_framework import serializers

from jobs.garage.enums import End, OilState, TravelPlace, TyreState
from jobs.garage.models import Adjuster, Bike, Gauge
from jobs.setups.enums import Phase, SetupKind, Subject, ToldBy, Verdict
from jobs.setups.models import Adjustment, BikePhoto, Expectation, Finding, Order, Reading
from jobs.trackday.models import Entry

from ..fields import (
    NumberRowField,
    PhotoField,
    ReadingKindField,
    TextField,
    UUIDRowField,
    photo_field,
    text_field,
)


def position_field(**options: Any) -> serializers.DecimalField:
    return serializers.DecimalField(max_digits=8, decimal_places=3, **options)


def expected_field(length: int) -> TextField:
    """Left out, a change by order has the text of its order. Empty means that it has none."""
    return TextField(personal=True, max_length=length, required=False, allow_blank=True)


def choice_field(choices: Any) -> serializers.ChoiceField:
    return serializers.ChoiceField(choices.choices, required=False, allow_blank=True, default="")


def pace_field() -> serializers.ChoiceField:
    """The pace as the rider says it, compared with the outing before."""
    choices = ["quicker", "same", "slower"]
    return serializers.ChoiceField(choices, required=False, allow_blank=True, default="")


class Moved(serializers.Serializer[Any]):
    """One adjuster of a change: its position before and after."""

    adjuster = NumberRowField(Adjuster)
    from_position = position_field()
    to_position = position_field()


class OfBike(serializers.Serializer[Any]):
    """Every act of the book names an entry of a trackday, or a bike outside any trackday."""

    entry = NumberRowField(Entry, optional=True)
    bike = NumberRowField(Bike, optional=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs.get("entry") is None and attrs.get("bike") is None:
            raise serializers.ValidationError("Say which bike it is: an entry or a bike.")
        return attrs


class ChangePayload(OfBike):
    """A pair of legs is one act with two moves; so is preload with its rebound check."""

    moves = Moved(many=True, allow_empty=False)
    reason = text_field(300, personal=True)
    oil = choice_field(OilState)
    oil_reason = text_field(200, personal=True)
    step_reason = text_field(200, personal=True)
    second_reason = text_field(200, personal=True)
    tyre_state = choice_field(TyreState)
    order = UUIDRowField(Order, optional=True)
    rests_on = UUIDRowField(Adjustment, optional=True)
    read_back = serializers.BooleanField(required=False, default=False)
    expectation = expected_field(300)
    condition = expected_field(120)
    finding = UUIDRowField(Finding, optional=True)


class Counted(serializers.Serializer[Any]):
    adjuster = NumberRowField(Adjuster)
    position = position_field()
    second_count = position_field(required=False, allow_null=True, default=None)
    highest = position_field(required=False, allow_null=True, default=None)


class CountPayload(OfBike):
    """Positions found: the first of a day is the baseline, later ones are recounts."""

    counts = Counted(many=True, allow_empty=False)
    turned_by = text_field(80, personal=True)
    reason = text_field(300, personal=True)


class ReadBackPayload(serializers.Serializer[Any]):
    row = UUIDRowField(Adjustment)
    position = position_field()


class OrderPayload(OfBike):
    moves = Moved(many=True, allow_empty=False)
    reason = text_field(300, personal=True)
    step_reason = text_field(200, personal=True)
    second_reason = text_field(200, personal=True)
    tyre_state = choice_field(TyreState)
    expectation = text_field(300, personal=True)
    condition = text_field(120, personal=True)
    finding = UUIDRowField(Finding, optional=True)


class PlacePayload(serializers.Serializer[Any]):
    row = UUIDRowField(Adjustment)


class Measured(serializers.Serializer[Any]):
    """A number of a reading with its unit, or a switch; a count of 1 or 0 is a switch too."""

    name = TextField(personal=False, max_length=20)
    value = serializers.DecimalField(
        max_digits=10, decimal_places=3, required=False, allow_null=True, default=None
    )
    unit = text_field(8, personal=False)
    index = serializers.IntegerField(min_value=0, max_value=999, required=False, default=0)
    on = serializers.BooleanField(required=False, allow_null=True, default=None)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if (attrs["value"] is None) == (attrs["on"] is None):
            raise serializers.ValidationError(
                f"{attrs['name']}: give either a value with its unit, or on (true or false)."
            )
        return attrs


def without_place(payload: dict[str, Any]) -> dict[str, Any]:
    """Version 1 of a reading, or of a tick with readings, did not say where travel was read."""
    return payload


def _oil_with_reason(reading: dict[str, Any]) -> dict[str, Any]:
    if not reading.get("oil") or reading.get("oil_reason"):
        return reading
    return {**reading, "oil_reason": _("nobody was asked why")}


def without_oil_reason(payload: dict[str, Any]) -> dict[str, Any]:
    """Version 2 of a reading had one end, and no reason for an oil state that overrules."""
    return _oil_with_reason(payload)


def readings_without_oil_reason(payload: dict[str, Any]) -> dict[str, Any]:
    """Version 2 of a tick had no reason for the oil state of its readings."""
    if not payload.get("readings"):
        return payload
    return {**payload, "readings": [_oil_with_reason(one) for one in payload["readings"]]}


class AtEnd(serializers.Serializer[Any]):
    """The other end, read with the same instrument in the same state."""

    end = serializers.ChoiceField(End.choices)
    values = Measured(many=True, allow_empty=False)
    place = choice_field(TravelPlace)


class ReadingPayload(OfBike):
    kind = ReadingKindField()
    end = choice_field(End)
    values = Measured(many=True, allow_empty=False)
    tyre_state = choice_field(TyreState)
    place = choice_field(TravelPlace)
    also = AtEnd(many=True, required=False, default=list)
    oil = choice_field(OilState)
    oil_reason = text_field(200, personal=True)
    minutes_since_stop = serializers.DecimalField(
        max_digits=6, decimal_places=1, min_value=Decimal(0), required=False, allow_null=True,
        default=None,
    )  # fmt: skip
    gauge = NumberRowField(Gauge, optional=True)
    note = text_field(300, personal=True)


class TravelPlacePayload(OfBike):
    """Where on this bike the travel was read of which nobody said it."""

    place = serializers.ChoiceField(TravelPlace.choices)


class FindingPayload(OfBike):
    words = text_field(2000, personal=True)
    code = text_field(12, personal=False)
    end = choice_field(End)
    phase = choice_field(Phase)
    corner = text_field(60, personal=True)
    place = text_field(20, personal=True)
    by_rider = serializers.BooleanField(required=False, default=False)
    stop = TextField(
        personal=False,
        required=False,
        allow_blank=True,
        default="",
        max_length=300,
        help_text="the stop condition that is seen, in the catalogue's words: holds the bike",
    )
    photo = photo_field()


class ExpectationPayload(serializers.Serializer[Any]):
    row = UUIDRowField(Adjustment, help_text="the change it is about")
    text = TextField(personal=True, max_length=300)
    condition = text_field(120, personal=True)
    finding = UUIDRowField(Finding, optional=True)


class JudgementPayload(serializers.Serializer[Any]):
    expectation = UUIDRowField(Expectation)
    verdict = serializers.ChoiceField(Verdict.choices)
    like_pace = serializers.BooleanField(required=False, allow_null=True, default=None)
    pace = pace_field()
    words = text_field(300, personal=True)
    told_by = choice_field(ToldBy)


def told_by_nobody_said(payload: dict[str, Any]) -> dict[str, Any]:
    """A judgement of before it was asked what told it."""
    return {"told_by": "", **payload}


class PhotoPayload(OfBike):
    """The file is stored first, under the id ``photo``, which the device made."""

    photo = PhotoField(essential=True)
    subject = serializers.ChoiceField(Subject.choices)
    end = choice_field(End)
    place = text_field(20, personal=True)
    words = text_field(300, personal=True)


class KeepPayload(OfBike):
    kind = serializers.ChoiceField(SetupKind.choices)
    name = text_field(60, personal=True)
    note = text_field(300, personal=True)


class MoveRowsPayload(serializers.Serializer[Any]):
    rows = serializers.ListField(
        child=UUIDRowField(Adjustment, Reading, Finding, BikePhoto), allow_empty=False
    )
    to = NumberRowField(Entry, help_text="the entry they belong to")


class AdjusterPayload(OfBike):
    adjuster = NumberRowField(Adjuster)
    state = serializers.ChoiceField(["broken", "mended", "proven", "open"])
    words = text_field(200, personal=True)
