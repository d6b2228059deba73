"""Parts fitted and taken off at the track."""

from typing import Any

from django.utils.translation import gettext as _
from rest_framework import serializers

from jobs.garage import services
from jobs.garage.enums import End, FittingKind
from jobs.garage.models import Fitting
from jobs.people.enums import CREW

from ..registry import Answer, Context, act
from .book_payloads import OfBike, choice_field, words_field
from .book_places import place_of


def _whole(most: int) -> serializers.IntegerField:
    return serializers.IntegerField(
        min_value=0, max_value=most, required=False, allow_null=True, default=None
    )


class FittingPayload(OfBike):
    kind = serializers.ChoiceField(FittingKind.choices)
    end = choice_field(End)
    name = serializers.CharField(max_length=120)
    compound = words_field(40)
    date_code = words_field(8)
    detail = words_field(80)
    warmers_c = _whole(120)
    due_after_outings = _whole(1000)
    new_depth_mm = serializers.DecimalField(
        max_digits=4, decimal_places=1, required=False, allow_null=True, default=None
    )
    maker_range_kpa = serializers.DictField(
        child=serializers.ListField(child=serializers.FloatField(), min_length=2, max_length=2),
        required=False,
        default=dict,
    )


class FittingOffPayload(OfBike):
    fitting = serializers.UUIDField()


@act("fitting", payload=FittingPayload, roles=CREW)
def fitting(context: Context, data: dict[str, Any]) -> Answer:
    place = place_of(context, data)
    fields = {key: value for key, value in data.items() if key not in ("entry", "bike")}
    fitted = services.fitting_fit(
        fitting_id=context.act_id, bike=place.bike, fitted_at=context.done_at, **fields
    )
    return Answer(_("Fitted: %(name)s.") % {"name": fitted.name})


@act("fitting_off", payload=FittingOffPayload, roles=CREW)
def fitting_off(context: Context, data: dict[str, Any]) -> Answer:
    place = place_of(context, data)
    part = Fitting.objects.get(pk=data["fitting"], bike=place.bike)
    services.fitting_remove(fitting=part, at=context.done_at)
    return Answer(_("Off: %(name)s.") % {"name": part.name})
