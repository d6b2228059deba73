from typing import Any

from rest_framework import serializers


class DayLine(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    name = serializers.CharField()
    venue = serializers.CharField(source="venue.name")
    timezone = serializers.CharField(source="venue.timezone")
    date = serializers.DateField()
    revision = serializers.IntegerField(help_text="moves by one with everything that happens")


class SessionOut(serializers.Serializer[Any]):
    id = serializers.IntegerField(source="session.pk")
    group = serializers.CharField(source="session.group.letter")
    number = serializers.IntegerField(source="session.number")
    planned_start = serializers.DateTimeField(source="session.planned_start")
    planned_end = serializers.DateTimeField(source="session.planned_end")
    expected_start = serializers.DateTimeField(source="start")
    expected_end = serializers.DateTimeField(source="end")
    state = serializers.CharField()


class TaskOut(serializers.Serializer[Any]):
    id = serializers.UUIDField(help_text="the same on every device and after every delay")
    item = serializers.IntegerField(source="item.pk")
    code = serializers.CharField(source="item.code")
    text = serializers.CharField(source="item.text")
    skill = serializers.CharField(source="item.skill")
    session = serializers.IntegerField(source="session_id", allow_null=True)
    opens = serializers.DateTimeField()
    latest_start = serializers.DateTimeField()
    closes = serializers.DateTimeField()
    state = serializers.CharField()


class HoldOut(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    words = serializers.CharField()
    raised_by = serializers.CharField()
    raised_at = serializers.DateTimeField()


class BoardBike(serializers.Serializer[Any]):
    """One bike now. Its state is a word; "nothing_open" is the most that is ever said."""

    entry = serializers.IntegerField(source="entry.pk")
    bike = serializers.IntegerField(source="entry.bike_id")
    number = serializers.CharField(source="entry.number")
    group = serializers.CharField(source="entry.group.letter")
    name = serializers.CharField(source="entry.bike")
    colour = serializers.CharField(source="entry.bike.colour")
    frame_last4 = serializers.CharField(source="entry.bike.frame_last4")
    rider = serializers.CharField(source="entry.rider.name")
    bay = serializers.CharField(source="entry.bay")
    package = serializers.CharField(source="entry.package.code")
    look_alike = serializers.BooleanField()
    shared_number = serializers.BooleanField()
    state = serializers.CharField()
    place = serializers.CharField(source="where.place")
    until = serializers.DateTimeField(allow_null=True)
    holds = HoldOut(many=True)
    open_tasks = TaskOut(many=True)


class BoardOut(serializers.Serializer[Any]):
    trackday = DayLine()
    now = serializers.DateTimeField(source="at", help_text="by the day's own clock")
    late_minutes = serializers.IntegerField()
    sessions = SessionOut(source="times", many=True)
    bikes = BoardBike(many=True)
