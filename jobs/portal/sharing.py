"""A day shown to whoever has its link: made and taken back by the customer."""

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from jobs.billing.selectors.prices import terms_get
from jobs.people.access import SignedIn
from jobs.people.models import Customer, User
from jobs.people.selectors import business_get
from jobs.trackday import sharing
from jobs.trackday.models import Entry
from jobs.trackday.ownership import ownership_of_user

from . import history
from .day import bike_day


@require_POST
def share(request: SignedIn, pk: int) -> HttpResponse:
    """Make the link to a day of an own bike; made already, it is the same one."""
    entry = get_object_or_404(history.own_entries(ownership_of_user(request.user)), pk=pk)
    customer = get_object_or_404(Customer, user=request.user)
    sharing.shared_day_make(entry=entry, customer=customer)
    return redirect("portal:day", pk)


@require_POST
def unshare(request: SignedIn, pk: int) -> HttpResponse:
    """Take the link back; a new one is another link."""
    entry = get_object_or_404(history.own_entries(ownership_of_user(request.user)), pk=pk)
    customer = get_object_or_404(Customer, user=request.user)
    sharing.shared_day_withdraw(entry=entry, customer=customer)
    messages.success(request, _("The link to this day opens nothing any more."))
    return redirect("portal:day", pk)


def shared_url(user: User, entry: Entry) -> str:
    """The address of the link to this day; empty where there is none."""
    customer = Customer.objects.filter(user=user).first()
    row = sharing.shared_day_of(entry=entry, customer=customer) if customer else None
    if row is None:
        return ""
    return settings.PUBLIC_URL + reverse("shared-day", args=[sharing.shared_token(row)])


@never_cache
def shared(request: HttpRequest, token: str) -> HttpResponse:
    """The day, and nothing else of the customer: no bill, no other day, no photo."""
    row = sharing.shared_day_from(token)
    user = row.customer.user if row else None
    if row is None or user is None:
        return render(request, "portal/shared_closed.html", status=410)
    entry = history.own_entries(ownership_of_user(user)).filter(pk=row.entry_id).first()
    if entry is None:
        return render(request, "portal/shared_closed.html", status=410)
    business = business_get()
    context = {
        "day": bike_day(entry, business),
        "business": business,
        "has_logo": bool(terms_get().logo),
    }
    return render(request, "portal/shared.html", context)
