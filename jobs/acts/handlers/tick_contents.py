"""What a tick of a task carries: readings, counts, the rider's words and pace, a photo."""

import uuid
from typing import Any

from rest_framework import serializers

from jobs.advice.selectors import catalogue
from jobs.files.models import Photo
from jobs.garage.enums import End, OilState, TravelPlace, TyreState
from jobs.garage.models import Adjuster, Bike, Gauge
from jobs.people.models import User
from jobs.setups import services
from jobs.setups.enums import Phase
from jobs.setups.models import Adjustment, BikePhoto, Finding, Reading
from jobs.setups.origin import RowOrigin
from jobs.setups.services.readings import Value
from jobs.setups.stops import origin_at_stop
from jobs.trackday.models import Entry

from ..fields import ReadingKindField, TextField, text_field
from ..registry import Context
from .book_payloads import Measured, choice_field, position_field


class TickReading(serializers.Serializer[Any]):
    kind = ReadingKindField()
    end = choice_field(End)
    values = Measured(many=True, allow_empty=False)
    tyre_state = choice_field(TyreState)
    place = choice_field(TravelPlace)
    oil = choice_field(OilState)
    oil_reason = text_field(200, personal=True)
    gauge = serializers.PrimaryKeyRelatedField(
        queryset=Gauge.objects.all(), required=False, allow_null=True, default=None
    )
    note = text_field(300, personal=True)


class TickCount(serializers.Serializer[Any]):
    adjuster = serializers.PrimaryKeyRelatedField(queryset=Adjuster.objects.all())
    position = position_field()
    second_count = position_field(required=False, allow_null=True, default=None)
    highest = position_field(required=False, allow_null=True, default=None)


class RiderWords(serializers.Serializer[Any]):
    """What the rider said, word for word, with the corner and the part of the corner."""

    words = TextField(personal=True, max_length=2000)
    corner = text_field(60, personal=True)
    phase = choice_field(Phase)
    end = choice_field(End)


def contents_write(context: Context, entry: Entry, data: dict[str, Any]) -> list[str]:
    """Write everything a tick carries. Returns the warnings about its readings."""
    origin = origin_at_stop(
        row_id=context.act_id, by=context.by, done_at=context.done_at, entry=entry
    )
    warnings = [
        warning
        for number, reading in enumerate(data["readings"])
        for warning in services.reading_take(
            origin=origin.further(f"reading {number}"), bike=entry.bike, **_values(reading)
        ).warnings
    ]
    _count(origin, entry, data)
    for number, said in enumerate(data["said"]):
        services.finding_write(
            origin=origin.further(f"said {number}"), bike=entry.bike, by_rider=True, **said
        )
    if data["pace"]:
        pace_write(origin.further("pace 0"), entry.bike, data["pace"])
    return warnings


def act_photo_write(
    context: Context,
    entry: Entry,
    photo: uuid.UUID | None,
    *,
    subject: str,
    words: str,
    end: str = "",
) -> BikePhoto | None:
    """Write the act's photo into the book of the bike; None where there is none."""
    if photo is None:
        return None
    origin = origin_at_stop(
        row_id=context.act_id, by=context.by, done_at=context.done_at, entry=entry
    )
    return services.photo_write(
        origin=origin.further("photo"),
        bike=entry.bike,
        photo=Photo.objects.get(pk=photo),
        subject=subject,
        end=end,
        words=words[:MOST_PHOTO_WORDS],
    )


def pace_write(origin: RowOrigin, bike: Bike, code: str) -> None:
    """The rider's word on their pace, against the outing before."""
    title = catalogue().title(code)
    services.finding_write(origin=origin, bike=bike, code=code, title=title, by_rider=True)


def contents_withdraw(context: Context, act_id: Any, entry: Entry, by: User) -> None:
    """Withdraw everything that the tick ``act_id`` wrote."""
    origin = RowOrigin(id=context.act_id, by=by, done_at=context.done_at, entry=entry)
    written_by = RowOrigin(id=act_id, by=by, done_at=context.done_at)
    ids = [
        written_by.further(f"{what} {number}").id
        for what in ("reading", "said", "pace")
        for number in range(MOST_ROWS)
    ]
    ids.append(written_by.further("photo").id)
    for model in (Reading, Finding, BikePhoto):
        for row in model._default_manager.filter(pk__in=ids):
            services.row_withdraw(origin=origin, row=row)
    counted = Adjustment.objects.select_related("adjuster").filter(linked=act_id).first()
    if counted is not None:
        services.adjustment_withdraw(origin=origin, row=counted)


# No checklist item asks for more readings or words than this at once.
MOST_ROWS = 24
MOST_PHOTO_WORDS = 300


def _values(reading: dict[str, Any]) -> dict[str, Any]:
    return {**reading, "values": [Value(**number) for number in reading["values"]]}


def _count(origin: RowOrigin, entry: Entry, data: dict[str, Any]) -> None:
    for counted in data["counts"]:
        adjuster: Adjuster = counted["adjuster"]
        services.adjustment_count(
            origin=origin.further(f"count {adjuster.pk}"),
            turned_by=data["turned_by"],
            linked=origin.id,
            **counted,
        )
