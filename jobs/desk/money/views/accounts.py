from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from jobs.billing.models import Document, Payment
from jobs.billing.selectors.ledger import free_credit
from jobs.billing.selectors.payments import (
    balance,
    open_items,
    statement,
    unused_money,
    with_open,
)
from jobs.billing.selectors.takings import day_takings
from jobs.people.dates import business_today
from jobs.people.models import Customer
from jobs.people.selectors import same_person
from jobs.trackday.models import Trackday

from ..answers import currency, day_from


def home(request: HttpRequest) -> HttpResponse:
    """Open items, longest overdue first; a payment is two taps from here."""
    now = business_today()
    items = open_items(now)
    taken, _payments = day_takings(now)
    return render(
        request,
        "money/home.html",
        {
            "items": items,
            "open_minor": sum(item.open_minor for item in items if item.open_minor > 0),
            "overdue_minor": sum(item.open_minor for item in items if item.is_overdue),
            "unused": unused_money(),
            "taken": taken,
            "days": Trackday.objects.select_related("venue")[:8],
            "drafts": Document.objects.filter(number__isnull=True).select_related("customer"),
            "currency": currency(),
        },
    )


def account(request: HttpRequest, pk: int) -> HttpResponse:
    """Statement of account of one customer, and every document."""
    customer = get_object_or_404(Customer, pk=pk)
    since = request.GET.get("since", "")
    until = request.GET.get("until", "")
    before, lines = statement(
        customer,
        since=day_from(since, business_today().replace(month=1, day=1)) if since else None,
        until=day_from(until, business_today()) if until else None,
    )
    people = same_person(customer)
    documents = with_open(Document.objects.filter(customer__in=people)).select_related("trackday")
    return render(
        request,
        "money/account.html",
        {
            "customer": customer,
            "others": people.exclude(pk=pk),
            "before": before,
            "lines": lines,
            "balance": balance(customer),
            "credit": free_credit(customer),
            "on_account": Payment.objects.filter(customer=customer, document__isnull=True),
            "documents": documents,
            "currency": currency(),
            "since": since,
            "until": until,
            "printed_on": business_today(),
        },
    )
