import datetime
from collections.abc import Iterable
from typing import NamedTuple

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from jobs.billing.enums import DocumentKind
from jobs.billing.models import Document, Payment
from jobs.billing.money import exponent
from jobs.billing.selectors.bank import bank_waits
from jobs.billing.selectors.ledger import free_credit
from jobs.billing.selectors.payments import (
    OpenItem,
    balance,
    open_items,
    statement,
    unused_money,
    with_open,
)
from jobs.billing.selectors.prices import terms_get
from jobs.billing.selectors.takings import day_takings
from jobs.billing.selectors.waiting import days_to_invoice, quotes_unanswered
from jobs.billing.statement_paper import statement_pdf
from jobs.paper.documents import PaperError
from jobs.people.access import SignedIn
from jobs.people.dates import business_today
from jobs.people.enums import TrailEvent
from jobs.people.models import Customer
from jobs.people.selectors import same_person
from jobs.people.trail import trail_note
from jobs.trackday.models import Trackday

from ..answers import attachment, currency, day_from


def home(request: HttpRequest) -> HttpResponse:
    """Open items, longest overdue first; a payment is two taps from here."""
    now = business_today()
    items = open_items(now)
    taken, _payments = day_takings(now)
    deposits = [item for item in items if item.document.kind == DocumentKind.DEPOSIT_REQUEST]
    invoices = [item for item in items if item not in deposits]
    to_invoice = days_to_invoice(now, places=exponent(currency()))
    drafts = list(Document.objects.filter(number__isnull=True).select_related("customer"))
    unused = unused_money()
    return render(
        request,
        "money/home.html",
        {
            "waits": [
                _Waits("to-invoice", _("to invoice"), sum(d.open_minor for d in to_invoice)),
                _Waits("drafts", _("drafts"), sum(d.total_minor for d in drafts)),
                _Waits("open", _("overdue"), _sum(i for i in invoices if i.is_overdue)),
                _Waits("open", _("open"), _sum(invoices)),
                _Waits("deposits", _("deposits not paid"), _sum(deposits)),
                _Waits("unused", _("credit nobody used"), sum(one.minor for one in unused)),
                _Waits("", _("from the bank, not placed"), bank_waits(), reverse("money:bank")),
            ],
            "terms": terms_get(),
            "to_invoice": to_invoice,
            "items": invoices,
            "overdue": any(item.is_overdue for item in invoices),
            "deposits": deposits,
            "quotes": list(quotes_unanswered(now)),
            "unused": unused,
            "taken": taken,
            "days": Trackday.objects.select_related("venue")[:8],
            "drafts": drafts,
            "currency": currency(),
        },
    )


class _Waits(NamedTuple):
    """One figure of what waits, and where on the page it is told apart."""

    anchor: str
    words: str
    minor: int
    page: str = ""  # another page that tells it


def _sum(items: Iterable[OpenItem]) -> int:
    return sum(item.open_minor for item in items if item.open_minor > 0)


def account(request: HttpRequest, pk: int) -> HttpResponse:
    """Statement of account of one customer, and every document."""
    customer = get_object_or_404(Customer, pk=pk)
    since = request.GET.get("since", "")
    until = request.GET.get("until", "")
    before, lines = statement(customer, **_period(request))
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


def _period(request: HttpRequest) -> dict[str, datetime.date | None]:
    since = request.GET.get("since", "")
    until = request.GET.get("until", "")
    return {
        "since": day_from(since, business_today().replace(month=1, day=1)) if since else None,
        "until": day_from(until, business_today()) if until else None,
    }


def statement_file(request: SignedIn, pk: int) -> HttpResponse:
    """The statement of account as a PDF, of the period on the page."""
    customer = get_object_or_404(Customer, pk=pk)
    try:
        content = statement_pdf(customer, today=business_today(), **_period(request))
    except PaperError as error:
        messages.error(request, str(error))
        return redirect("money:account", pk)
    trail_note(TrailEvent.STATEMENT_OPENED, by=request.user, ref=pk)
    return attachment(content, name=f"statement-{pk}.pdf", kind="application/pdf")
