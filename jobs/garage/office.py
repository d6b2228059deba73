"""Bikes as the office writes them, made with what their model sheet knows."""

from collections.abc import Collection
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from jobs.people.models import Customer

from .models import Bike, FormerOwner, ModelSheet
from .services import bike_set_up


def bike_register(
    *,
    owner: Customer,
    make: str,
    model: str,
    year: int | None = None,
    colour: str = "",
    frame_last4: str = "",
) -> Bike:
    """A new bike. Where the business has a sheet of its make and model, it is copied on."""
    sheet = sheet_for(make=make, model=model, year=year)
    bike = Bike.objects.create(
        owner=owner,
        make=make,
        model=model,
        year=year,
        colour=colour,
        frame_last4=frame_last4,
    )
    if sheet is not None:
        bike_set_up(bike=bike, sheet=sheet)
    return bike


def bike_update(*, bike: Bike, changes: dict[str, Any]) -> None:
    """Set the named fields of a bike, and no others."""
    for name, value in changes.items():
        setattr(bike, name, value)
    bike.save(update_fields=list(changes))


@transaction.atomic
def bike_owner_change(
    *, bike: Bike, owner: Customer, at: datetime | None = None, shown_to_next: bool = False
) -> None:
    """The bike was sold (now, unless said): its new owner sees its setup book from now on.

    ``shown_to_next``: the seller agreed that the machine's earlier days are shown too.
    """
    if bike.owner_id == owner.pk:
        return
    FormerOwner.objects.create(
        bike=bike, owner=bike.owner, until=at or timezone.now(), shown_to_next=shown_to_next
    )
    bike.owner = owner
    bike.save(update_fields=["owner"])


@transaction.atomic
def sale_agreement_set(*, bike: Bike, shown: Collection[int]) -> None:
    """Of this bike's sales, those (by number) of which the next owner sees the days before."""
    sales = FormerOwner.objects.filter(bike=bike)
    sales.filter(pk__in=shown).update(shown_to_next=True)
    sales.exclude(pk__in=shown).update(shown_to_next=False)


def sheet_for(*, make: str, model: str, year: int | None) -> ModelSheet | None:
    """The sheet of that make and model: of that very year, else of any year."""
    return (
        ModelSheet.objects.filter(make__iexact=make, model__iexact=model)
        .filter(Q(year=0) | Q(year=year or 0))
        .order_by("-year")
        .first()
    )
