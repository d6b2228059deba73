"""A sold bike gets its new owner; what each of the two sees: ``jobs/trackday/ownership.py``."""

from collections.abc import Iterable, Iterator
from contextlib import suppress
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from jobs.garage.models import FormerOwner
from jobs.garage.office import bike_owner_change, sale_agreement_set
from jobs.people.access import SignedIn
from jobs.people.models import Customer
from jobs.people.typed import whole_number
from jobs.setups.models import BikePhoto
from jobs.setups.services import photos_of_the_machine_set

from .bike_header import bike_header_of, entry_get


def owner(request: SignedIn, entry_id: int) -> HttpResponse:
    """Choose who owns the bike now; what the seller agreed to can be corrected later."""
    entry = entry_get(entry_id)
    if request.method == "POST":
        chosen = get_object_or_404(Customer, pk=request.POST.get("owner") or 0)
        bike_owner_change(bike=entry.bike, owner=chosen, shown_to_next="shown" in request.POST)
        messages.success(
            request, _("%(bike)s now belongs to %(owner)s.") % {"bike": entry.bike, "owner": chosen}
        )
        return redirect("board:sheet-owner", entry_id=entry.pk)
    photos = BikePhoto.objects.filter(bike=entry.bike, withdrawn_at=None).select_related("photo")
    context = {
        "entry": entry,
        "head": bike_header_of(entry),
        "customers": Customer.objects.exclude(pk=entry.bike.owner_id),
        "sales": FormerOwner.objects.filter(bike=entry.bike).select_related("owner"),
        "photos": photos.order_by("-accepted_at"),
    }
    return render(request, "board/sheet/owner.html", context)


@require_POST
def owner_shows(request: SignedIn, entry_id: int) -> HttpResponse:
    """What the new owner sees of before the sale: the machine's days, marked photos."""
    entry = entry_get(entry_id)
    shown = {whole_number(pk) or 0 for pk in request.POST.getlist("sale")}
    sale_agreement_set(bike=entry.bike, shown=shown)
    photos_of_the_machine_set(bike=entry.bike, photos=set(_uuids(request.POST.getlist("photo"))))
    messages.success(request, _("Kept. It holds from now on."))
    return redirect("board:sheet-owner", entry_id=entry.pk)


def _uuids(words: Iterable[str]) -> Iterator[UUID]:
    for one in words:
        with suppress(ValueError):
            yield UUID(one)
