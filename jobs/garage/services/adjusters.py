"""Adjusters of a bike: copied from a model sheet, added by hand, kept as a model sheet."""

import uuid
from collections.abc import Iterable, Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from ..enums import Leg
from ..models import Adjuster, AdjusterFields, Bike, Chassis, ModelSheet, SheetAdjuster

CHASSIS = tuple(field.name for field in Chassis._meta.local_fields)
ADJUSTER = tuple(field.name for field in AdjusterFields._meta.local_fields)


@transaction.atomic
def bike_set_up(*, bike: Bike, sheet: ModelSheet) -> list[Adjuster]:
    """Copy a model sheet onto a bike. What the bike has already is left as it is.

    The copy is never linked: a sheet changed later changes no bike.
    """
    for name in CHASSIS:
        if getattr(bike, name) in (None, [], {}):
            setattr(bike, name, getattr(sheet, name))
    bike.save(update_fields=list(CHASSIS))
    return adjusters_add(bike=bike, adjusters=[_fields(a) for a in sheet.adjusters.all()])


@transaction.atomic
def adjusters_add(*, bike: Bike, adjusters: Sequence[dict[str, Any]]) -> list[Adjuster]:
    """Add adjusters given by their fields; those the bike has already are left as they are.

    A left and a right leg of one function become a pair: one act moves both.
    """
    known = {(a.end, a.leg, a.function) for a in bike.adjusters.all()}
    new = [f for f in adjusters if (f["end"], f["leg"], f["function"]) not in known]
    for fields in new:
        if fields["highest"] <= fields.get("lowest", 0):
            raise ValidationError(
                _("The range of %(function)s must end above its start.")
                % {"function": fields["function"]}
            )
    pairs = _pairs(new)
    return Adjuster.objects.bulk_create(
        Adjuster(
            bike=bike,
            pair=pairs.get((f["end"], f["function"])) if f["leg"] != Leg.BOTH else None,
            **f,
        )
        for f in new
    )


@transaction.atomic
def adjuster_describe(*, adjuster: Adjuster) -> Adjuster:
    """Keep how an adjuster is counted, as a pair with the same adjuster of the other leg."""
    like = Adjuster.objects.filter(
        bike=adjuster.bike_id, end=adjuster.end, function=adjuster.function
    ).exclude(pk=adjuster.pk)
    adjuster.first_click = 1 if adjuster.lowest == 1 else 0
    other = like.exclude(leg=adjuster.leg).exclude(leg=Leg.BOTH).first()
    if adjuster.leg != Leg.BOTH and other is not None:
        adjuster.pair = other.pair or uuid.uuid4()
        Adjuster.objects.filter(pk=other.pk).update(pair=adjuster.pair)
    adjuster.full_clean()
    adjuster.save()
    return adjuster


@transaction.atomic
def sheet_from_bike(
    *, bike: Bike, make: str = "", model: str = "", year: int = 0, standards: dict[int, Any]
) -> ModelSheet:
    """Keep this bike as a model sheet; ``standards`` are positions by adjuster id.

    A sheet of the same make, model and year is replaced.
    """
    adjusters = list(bike.adjusters.all())
    if not adjusters:
        raise ValidationError(_("This bike has no adjusters yet: there is nothing to keep."))
    sheet, _created = ModelSheet.objects.update_or_create(
        make=make or bike.make,
        model=model or bike.model,
        year=year or bike.year or 0,
        defaults={name: getattr(bike, name) for name in CHASSIS},
    )
    sheet.adjusters.all().delete()
    SheetAdjuster.objects.bulk_create(
        SheetAdjuster(sheet=sheet, standard=standards.get(a.pk), **_fields(a)) for a in adjusters
    )
    return sheet


def _fields(adjuster: AdjusterFields) -> dict[str, Any]:
    return {name: getattr(adjuster, name) for name in ADJUSTER}


def _pairs(adjusters: Iterable[dict[str, Any]]) -> dict[tuple[str, str], uuid.UUID]:
    legs: dict[tuple[str, str], set[str]] = {}
    for fields in adjusters:
        legs.setdefault((fields["end"], fields["function"]), set()).add(fields["leg"])
    return {key: uuid.uuid4() for key, found in legs.items() if {Leg.LEFT, Leg.RIGHT} <= found}
