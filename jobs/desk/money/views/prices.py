from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.forms import BaseForm
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from jobs.billing.enums import PACKAGE_KINDS
from jobs.billing.models import PriceItem, TaxRate
from jobs.billing.selectors import prices as selectors
from jobs.billing.services import prices as services
from jobs.desk.packages import packages_unpriced
from jobs.people.access import SignedIn
from jobs.people.enums import TrailEvent
from jobs.people.trail import noted, trail_note

from ..answers import currency
from ..forms import PriceForm, TermsForm


def price_list(request: HttpRequest) -> HttpResponse:
    return render(
        request,
        "money/prices.html",
        {
            "items": selectors.price_list(),
            "rates": TaxRate.objects.all(),
            "terms": selectors.terms_get(),
            "currency": currency(),
            "unpriced": packages_unpriced(),
            "package_kinds": PACKAGE_KINDS,
        },
    )


def price_new(request: SignedIn) -> HttpResponse:
    return _price_form(request, None, _("New price"))


def price_edit(request: SignedIn, pk: int) -> HttpResponse:
    item = get_object_or_404(PriceItem, pk=pk)
    return _price_form(request, item, item.name)


def _price_form(request: SignedIn, item: PriceItem | None, title: str) -> HttpResponse:
    form = PriceForm(request.POST or None, instance=item)
    if request.method == "POST" and form.is_valid():
        fresh = PriceItem.objects.get(pk=item.pk) if item else None
        save = noted(TrailEvent.PRICE_CHANGED, request.user, services.price_item_save)
        if kept(form, save, item=fresh, **form.cleaned_data):
            messages.success(request, _("Kept. Issued documents stay as they are."))
            return redirect("money:prices")
    return render(request, "money/price.html", {"form": form, "title": title, "item": item})


def kept(form: BaseForm, service: Callable[..., Any], **values: Any) -> bool:
    try:
        service(**values)
    except ValidationError as error:
        _by_field(form, error)
        return False
    return True


def _by_field(form: BaseForm, error: ValidationError) -> None:
    if not hasattr(error, "error_dict"):
        form.add_error(None, error)
        return
    for field, errors in error.error_dict.items():
        form.add_error(field if field in form.fields else None, errors)


@require_POST
def price_retire(request: SignedIn, pk: int) -> HttpResponse:
    item = get_object_or_404(PriceItem, pk=pk)
    with transaction.atomic():
        services.price_item_retire(item=item, active=not item.active)
        trail_note(TrailEvent.PRICE_CHANGED, by=request.user, ref=item.pk)
    return redirect("money:prices")


def terms(request: SignedIn) -> HttpResponse:
    found = selectors.terms_get()
    form = TermsForm(request.POST or None, request.FILES or None, instance=found)
    if request.method == "POST" and form.is_valid():
        values = form.values()
        upload = form.cleaned_data.get("picture")
        logo = upload.read() if upload else None
        update = noted(TrailEvent.TERMS_CHANGED, request.user, services.terms_update)
        if kept(form, update, logo=logo, **values):
            messages.success(request, _("Kept."))
            return redirect("money:terms")
    return render(request, "money/terms.html", {"form": form, "terms": found})


def logo(request: HttpRequest) -> HttpResponse:
    picture = selectors.terms_get().logo
    if not picture:
        raise Http404
    return HttpResponse(bytes(picture), content_type="image/png")
