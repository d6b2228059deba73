"""A sold bike gets its new owner; its setup book stays with the bike."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _

from jobs.garage.office import bike_owner_change
from jobs.people.access import SignedIn
from jobs.people.models import Customer

from .bike_header import bike_header_of, entry_get


def owner(request: SignedIn, entry_id: int) -> HttpResponse:
    """Choose who owns the bike now."""
    entry = entry_get(entry_id)
    if request.method == "POST":
        chosen = get_object_or_404(Customer, pk=request.POST.get("owner") or 0)
        bike_owner_change(bike=entry.bike, owner=chosen)
        messages.success(
            request, _("%(bike)s now belongs to %(owner)s.") % {"bike": entry.bike, "owner": chosen}
        )
        return redirect("board:sheet", entry_id=entry.pk)
    context = {
        "entry": entry,
        "head": bike_header_of(entry),
        "customers": Customer.objects.exclude(pk=entry.bike.owner_id),
    }
    return render(request, "board/sheet/owner.html", context)
