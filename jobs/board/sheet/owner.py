"""A sold bike gets its new owner; what each of the two sees: ``jobs/trackday/ownership.py``."""

from collections.abc import Iterable, Iterator
from contextlib import suppress
from datetime import date
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST

from jobs.garage.models import Bike, FormerOwner
from jobs.garage.office import bike_owner_change, sale_agreement_set
from jobs.people.access import SignedIn
from jobs.people.dates import business_today
from jobs.people.models import Customer
from jobs.people.typed import whole_number
from jobs.setups.models import BikePhoto
from jobs.setups.services import photos_of_the_machine_set
from jobs.trackday.ownership import sale_moment

from .bike_header import bike_header_of, entry_get


class SaleForm(forms.Form):
    """Who has the bike now, since which day, and what the seller agreed to."""

    owner = forms.ModelChoiceField(Customer.objects.none(), label=gettext_lazy("Now belongs to"))
    sold_on = forms.DateField(
        label=gettext_lazy("Sold on"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text=gettext_lazy(
            "The new owner sees the bike from this day on. A trackday on it that the seller pays "
            "for stays the seller's."
        ),
    )
    shown = forms.BooleanField(required=False)

    def __init__(self, data: Any, *, bike: Bike, today: date) -> None:
        super().__init__(data, initial={"sold_on": today})
        self.bike, self.today = bike, today
        owner: Any = self.fields["owner"]
        owner.queryset = Customer.objects.exclude(pk=bike.owner_id)
        owner.label_from_instance = lambda one: ", ".join(filter(None, (one.name, one.city)))
        self.fields["shown"].label = _(
            "%(owner)s agreed: the new owner also sees what was set and read on the machine before "
            "(no name, no words, no prices, no lap times)"
        ) % {"owner": bike.owner}

    def clean_sold_on(self) -> date:
        day: date = self.cleaned_data["sold_on"]
        if day > self.today:
            raise ValidationError(_("This day is still to come: pass the bike on when it is sold."))
        before = FormerOwner.objects.filter(bike=self.bike).order_by("-until").first()
        if before is not None and sale_moment(self.bike, day) <= before.until:
            raise ValidationError(
                _("It was sold on %(day)s before: this sale must be later.")
                % {"day": date_format(before.until, "j F Y")}
            )
        return day


def owner(request: SignedIn, entry_id: int) -> HttpResponse:
    """Choose who owns the bike now; what the seller agreed to can be corrected later."""
    entry = entry_get(entry_id)
    form = SaleForm(request.POST or None, bike=entry.bike, today=business_today())
    if request.method == "POST" and form.is_valid():
        chosen = form.cleaned_data["owner"]
        bike_owner_change(
            bike=entry.bike,
            owner=chosen,
            at=sale_moment(entry.bike, form.cleaned_data["sold_on"]),
            shown_to_next=form.cleaned_data["shown"],
        )
        messages.success(
            request, _("%(bike)s now belongs to %(owner)s.") % {"bike": entry.bike, "owner": chosen}
        )
        return redirect("board:sheet-owner", entry_id=entry.pk)
    photos = BikePhoto.objects.filter(bike=entry.bike, withdrawn_at=None).select_related("photo")
    context = {
        "entry": entry,
        "head": bike_header_of(entry),
        "form": form,
        "sales": FormerOwner.objects.filter(bike=entry.bike).select_related("owner"),
        "photos": photos.order_by("-accepted_at"),
    }
    status = 422 if form.is_bound else 200
    return render(request, "board/sheet/owner.html", context, status=status)


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
