"""Parts fitted and taken off at the track."""

from typing import Any

from django.utils.translation import gettext as _
from rest_framework import serializers

from jobs.garage import services
from jobs.garage.enums import End, FittingKind
from jobs.garage.models import Fitting
from jobs.people.enums import CREW

from ..fields import TextField, UUIDRowField, text_field
from ..registry import NEVER, Answer, Context, act
from .book_payloads import OfBike, choice_field
from .book_target import target_of


def _whole(most: int) -> serializers.IntegerField:
    return serializers.IntegerField(
        min_value=0, max_value=most, required=False, allow_null=True, default=None
    )


class FittingPayload(OfBike):
    kind = serializers.ChoiceField(FittingKind.choices)
    end = choice_field(End)
    name = TextField(personal=False, max_length=120)
    compound = text_field(40, personal=False)
    date_code = text_field(8, personal=False)
    detail = text_field(80, personal=False)
    warmers_c = _whole(120)
    due_after_outings = _whole(1000)
    new_depth_mm = serializers.DecimalField(
        max_digits=4, decimal_places=1, required=False, allow_null=True, default=None
    )
    maker_range_kpa = serializers.DictField(
        child=serializers.ListField(
            child=serializers.FloatField(min_value=0, max_value=10000), min_length=2, max_length=2
        ),
        required=False,
        default=dict,
    )


class FittingOffPayload(OfBike):
    fitting = UUIDRowField(Fitting)


@act("fitting", payload=FittingPayload, roles=CREW, taken_back=NEVER)
def fitting(context: Context, data: dict[str, Any]) -> Answer:
    target = target_of(context, data)
    fields = {key: value for key, value in data.items() if key not in ("entry", "bike")}
    fitted = services.fitting_fit(
        fitting_id=context.act_id, bike=target.bike, fitted_at=context.done_at, **fields
    )
    return Answer(_("Fitted: %(name)s.") % {"name": fitted.name})


@act("fitting_off", payload=FittingOffPayload, roles=CREW, taken_back=NEVER)
def fitting_off(context: Context, data: dict[str, Any]) -> Answer:
    target = target_of(context, data)
    part = Fitting.objects.get(pk=data["fitting"], bike=target.bike)
    services.fitting_remove(fitting=part, at=context.done_at)
    return Answer(_("Off: %(name)s.") % {"name": part.name})
