from typing import Any

from rest_framework import serializers

from jobs.garage import words
from jobs.setups import sentences
from jobs.setups.models import Reading
from jobs.setups.reading_kinds import reading_kind_choices


class Position(serializers.Serializer[Any]):
    """Where one adjuster stands: the number, and the words that cannot be misread."""

    adjuster = serializers.IntegerField(source="adjuster.pk")
    end = serializers.CharField(source="adjuster.end")
    leg = serializers.CharField(source="adjuster.leg")
    function = serializers.CharField(source="adjuster.function")
    unit = serializers.CharField(source="adjuster.unit")
    origin = serializers.CharField(source="adjuster.origin")
    firming = serializers.CharField(source="adjuster.firming")
    lowest = serializers.DecimalField(8, 3, source="adjuster.lowest")
    highest = serializers.DecimalField(8, 3, source="adjuster.highest")
    usable = serializers.BooleanField(source="adjuster.usable")
    name = serializers.CharField(source="full_name")
    position = serializers.DecimalField(8, 3, allow_null=True)
    arrived = serializers.DecimalField(8, 3, allow_null=True)
    words = serializers.SerializerMethodField()

    def get_words(self, standing: object) -> str:
        return words.position(standing.adjuster, standing.position)  # type: ignore[attr-defined]


class OutcomeOut(serializers.Serializer[Any]):
    expected = serializers.CharField()
    verdict = serializers.CharField(allow_blank=True)
    words = serializers.CharField(allow_blank=True)


class ChangeOut(serializers.Serializer[Any]):
    id = serializers.UUIDField(source="row.pk")
    at = serializers.DateTimeField()
    session = serializers.IntegerField(source="row.session_id", allow_null=True)
    from_position = serializers.DecimalField(8, 3, source="row.from_position")
    to_position = serializers.DecimalField(8, 3, source="row.to_position")
    text = serializers.CharField()
    reason = serializers.CharField()
    oil_state = serializers.CharField(source="row.oil_state")
    outcomes = OutcomeOut(source="expectations", many=True)


class MeasurementOut(serializers.Serializer[Any]):
    """One number as entered and in the canonical unit; or one switch, on or off."""

    name = serializers.CharField()
    index = serializers.IntegerField()
    value = serializers.DecimalField(10, 3, allow_null=True)
    unit = serializers.CharField()
    canonical = serializers.DecimalField(
        12, 5, allow_null=True, help_text="kPa gauge, degC, mm, s, count"
    )
    on = serializers.BooleanField(allow_null=True, help_text="of a switch; null for a number")


class ReadingOut(serializers.Serializer[Any]):
    id = serializers.UUIDField(source="pk")
    at = serializers.DateTimeField(source="done_at")
    session = serializers.IntegerField(source="session_id", allow_null=True)
    kind = serializers.ChoiceField(reading_kind_choices())
    end = serializers.CharField()
    oil_state = serializers.CharField()
    cold = serializers.SerializerMethodField(
        help_text="of a push that was not hot: why it sets no rebound"
    )
    tyre_state = serializers.CharField()
    place = serializers.CharField(
        help_text="where travel was read: fork_leg, shock_shaft or wheel; empty: nobody said"
    )
    minutes_since_stop = serializers.DecimalField(6, 1, allow_null=True)
    gauge = serializers.CharField(source="gauge.name", default="")
    values = MeasurementOut(source="measurements", many=True)

    def get_cold(self, reading: Reading) -> str:
        return sentences.cold_push(reading)


class EntryLine(serializers.Serializer[Any]):
    id = serializers.IntegerField(source="pk")
    trackday = serializers.IntegerField(source="trackday_id")
    date = serializers.DateField(source="trackday.date")
    venue = serializers.CharField(source="trackday.venue.name")
    number = serializers.CharField()
    group = serializers.CharField(source="group.letter")
    rider = serializers.CharField(source="rider.name")


class BikeLine(serializers.Serializer[Any]):
    id = serializers.IntegerField(source="pk")
    make = serializers.CharField()
    model = serializers.CharField()
    year = serializers.IntegerField(allow_null=True)
    colour = serializers.CharField()
    frame_last4 = serializers.CharField()


class BikeOut(serializers.Serializer[Any]):
    """A bike, where it stands, and its days, the newest first."""

    bike = BikeLine()
    stands = Position(many=True)
    days = EntryLine(many=True)


class BikeDayOut(serializers.Serializer[Any]):
    """One day of one bike: before and after, changes with why and what came of it, readings."""

    entry = EntryLine()
    stands = Position(many=True)
    changes = ChangeOut(many=True)
    readings = ReadingOut(many=True)
