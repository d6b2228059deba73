"""Tax rates: a new one, an end, a correction while no invoice carries it."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from jobs.billing.models import TaxRate
from jobs.billing.selectors.tax_rates import rate_last_used
from jobs.billing.services import tax_rates as services
from jobs.people.access import SignedIn
from jobs.people.enums import TrailEvent
from jobs.people.trail import noted

from ..answers import attempt
from ..forms import RateCorrectForm, RateEndForm, RateForm
from .prices import kept


def rate_new(request: SignedIn) -> HttpResponse:
    form = RateForm(request.POST or None)
    if (
        request.method == "POST"
        and form.is_valid()
        and kept(form, _noted(request, services.tax_rate_add), **form.cleaned_data)
    ):
        messages.success(request, _("The rate is kept; the former one of its name ends before it."))
        return redirect("money:prices")
    return render(request, "money/rate.html", {"form": form, "title": _("New tax rate")})


def rate_edit(request: SignedIn, pk: int) -> HttpResponse:
    """All of a rate, or only its last day once an invoice carries it."""
    rate = get_object_or_404(TaxRate, pk=pk)
    used = rate_last_used(rate)
    form = (RateEndForm if used else RateCorrectForm)(request.POST or None, instance=rate)
    if request.method == "POST" and form.is_valid():
        service = services.tax_rate_end if used else services.tax_rate_correct
        if kept(
            form, _noted(request, service), rate=TaxRate.objects.get(pk=pk), **form.cleaned_data
        ):
            messages.success(request, _("Kept. Issued documents stay as they are."))
            return redirect("money:prices")
    context = {"form": form, "title": str(rate), "rate": rate, "used": used}
    return render(request, "money/rate.html", context)


@require_POST
def rate_remove(request: SignedIn, pk: int) -> HttpResponse:
    rate = get_object_or_404(TaxRate, pk=pk)
    done = _("The rate is removed; the former one of its name goes on.")
    attempt(request, done, _noted(request, services.tax_rate_remove), rate=rate)
    return redirect("money:prices")


def _noted(request: SignedIn, service: Callable[..., Any]) -> Callable[..., Any]:
    return noted(TrailEvent.RATE_CHANGED, request.user, service)
