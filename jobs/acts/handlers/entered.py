"""What is entered on ticking a task: readings, counts, the rider's words, in one act."""

import uuid
from typing import Any

from rest_framework import serializers

from jobs.advice.selectors import catalogue
from jobs.files.models import Photo
from jobs.garage.enums import End, OilState, TyreState
from jobs.garage.models import Adjuster, Bike, Gauge
from jobs.people.models import User
from jobs.setups import services
from jobs.setups.enums import Phase, ReadingKind
from jobs.setups.made import Made
from jobs.setups.models import Adjustment, BikePhoto, Finding, Reading
from jobs.setups.services.readings import Value
from jobs.setups.stops import made_at_stop
from jobs.trackday.models import Entry

from ..registry import Context
from .book_payloads import Number, choice_field, position_field, words_field


class EnteredReading(serializers.Serializer):
    kind = serializers.ChoiceField(ReadingKind.choices)
    end = choice_field(End)
    values = Number(many=True, allow_empty=False)
    tyre_state = choice_field(TyreState)
    oil = choice_field(OilState)
    gauge = serializers.PrimaryKeyRelatedField(
        queryset=Gauge.objects.all(), required=False, allow_null=True, default=None
    )
    note = words_field()


class EnteredCount(serializers.Serializer):
    adjuster = serializers.PrimaryKeyRelatedField(queryset=Adjuster.objects.all())
    position = position_field()
    second_count = position_field(required=False, allow_null=True, default=None)
    highest = position_field(required=False, allow_null=True, default=None)


class SaidWords(serializers.Serializer):
    """The rider's words, verbatim, with the corner and the part of it."""

    words = serializers.CharField(max_length=2000)
    corner = words_field(60)
    phase = choice_field(Phase)
    end = choice_field(End)


def enter(context: Context, entry: Entry, data: dict[str, Any]) -> list[str]:
    """Write everything a tick carries; what a person should look at again comes back."""
    made = made_at_stop(row_id=context.act_id, by=context.by, done_at=context.done_at, entry=entry)
    doubts = [
        doubt
        for number, reading in enumerate(data["readings"])
        for doubt in services.reading_take(
            made=made.further(f"reading {number}"), bike=entry.bike, **_values(reading)
        ).doubts
    ]
    _count(made, entry, data)
    for number, said in enumerate(data["said"]):
        services.finding_write(
            made=made.further(f"said {number}"), bike=entry.bike, by_rider=True, **said
        )
    if data["pace"]:
        pace_write(made.further("pace 0"), entry.bike, data["pace"])
    return doubts


def photo_keep(
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
    made = made_at_stop(row_id=context.act_id, by=context.by, done_at=context.done_at, entry=entry)
    return services.photo_write(
        made=made.further("photo"),
        bike=entry.bike,
        photo=Photo.objects.get(pk=photo),
        subject=subject,
        end=end,
        words=words[:MOST_PHOTO_WORDS],
    )


def pace_write(made: Made, bike: Bike, code: str) -> None:
    """The rider's word on his pace, against the outing before."""
    title = catalogue().title(code)
    services.finding_write(made=made, bike=bike, code=code, title=title, by_rider=True)


def take_back(context: Context, act_id: Any, entry: Entry, by: User) -> None:
    """Strike through everything the tick ``act_id`` entered."""
    made = Made(id=context.act_id, by=by, done_at=context.done_at, entry=entry)
    made_then = Made(id=act_id, by=by, done_at=context.done_at)
    ids = [
        made_then.further(f"{what} {number}").id
        for what in ("reading", "said", "pace")
        for number in range(MOST_ROWS)
    ]
    ids.append(made_then.further("photo").id)
    for model in (Reading, Finding, BikePhoto):
        for row in model._default_manager.filter(pk__in=ids):
            services.row_withdraw(made=made, row=row)
    counted = Adjustment.objects.select_related("adjuster").filter(linked=act_id).first()
    if counted is not None:
        services.adjustment_withdraw(made=made, row=counted)


# No checklist item asks for more readings or words than this at once.
MOST_ROWS = 24
MOST_PHOTO_WORDS = 300


def _values(reading: dict[str, Any]) -> dict[str, Any]:
    return {**reading, "values": [Value(**number) for number in reading["values"]]}


def _count(made: Made, entry: Entry, data: dict[str, Any]) -> None:
    for counted in data["counts"]:
        adjuster: Adjuster = counted["adjuster"]
        services.adjustment_count(
            made=made.further(f"count {adjuster.pk}"),
            turned_by=data["turned_by"],
            linked=made.id,
            **counted,
        )
