import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from jobs.billing.enums import PaymentKind, PaymentMethod
from jobs.billing.models import Document, Payment
from jobs.billing.money import Money
from jobs.billing.selectors.ledger import held
from jobs.billing.selectors.payments import document_open, same_entered
from jobs.billing.selectors.takings import MONEY_METHODS
from jobs.billing.services.payments import (
    credit_keep,
    credit_use,
    payment_add,
    payment_on_account,
    payment_withdraw,
)
from jobs.people.access import SignedIn
from jobs.people.dates import business_today
from jobs.people.models import Customer
from jobs.people.typed import redirect_within

from ..answers import amount_from, attempt, day_from


def _back(request: SignedIn, document: Document) -> HttpResponse:
    there = request.POST.get("next", "")
    return redirect_within(request, there, "money:document", document.pk)


@require_POST
def pay(request: SignedIn, pk: int) -> HttpResponse:
    """A payment, refund or write-off. Nothing typed means all that is open."""
    document = get_object_or_404(Document, pk=pk)
    try:
        typed = request.POST.get("amount", "")
        minor = amount_from(typed) if typed.strip() else _whole(request, document)
        payment_id = uuid.UUID(request.POST.get("id", ""))
    except ValidationError as error:
        messages.error(request, error.messages[0])
        return _back(request, document)
    except ValueError:
        messages.error(request, _("The form was not whole; please enter it once more."))
        return _back(request, document)
    values = {"amount_minor": minor, **_kind_method_and_day(request)}
    twice = _asks_twice(request, payment_id, document.customer, document, values)
    if twice is not None:
        return twice
    made = attempt(
        request,
        "",
        payment_add,
        payment_id=payment_id,
        document=document,
        by=request.user,
        **values,
        note=request.POST.get("note", ""),
    )
    if made is not None:
        messages.success(
            request,
            _("%(label)s: %(kind)s of %(sum)s entered.")
            % {
                "label": document.label,
                "kind": made.get_kind_display(),
                "sum": Money(made.amount_minor, made.currency).text(),
            },
        )
    return _back(request, document)


def _kind_method_and_day(request: SignedIn) -> dict[str, Any]:
    kind, method = request.POST.get("kind", ""), request.POST.get("method", "")
    return {
        "kind": kind if kind in PaymentKind.values else PaymentKind.PAYMENT,
        "method": method if method in MONEY_METHODS else PaymentMethod.TRANSFER,
        "received_on": day_from(request.POST.get("received_on", ""), business_today()),
    }


def _asks_twice(
    request: SignedIn,
    payment_id: uuid.UUID,
    customer: Customer,
    document: Document | None,
    values: dict[str, Any],
) -> HttpResponse | None:
    """The question where the same sum was entered the same way on the same day before.

    What was typed goes along, and is entered by one more tap.
    """
    if "again" in request.POST or Payment.objects.filter(pk=payment_id).exists():
        return None
    earlier = same_entered(customer=customer, document=document, **values)
    if earlier is None:
        return None
    typed = {key: request.POST[key] for key in request.POST if key != "csrfmiddlewaretoken"}
    back = ("document", document.pk) if document else ("account", customer.pk)
    return render(
        request,
        "money/twice.html",
        {
            "earlier": earlier,
            "customer": customer,
            "typed": typed,
            "back": reverse(f"money:{back[0]}", args=[back[1]]),
        },
    )


def _whole(request: SignedIn, document: Document) -> int:
    """Nothing typed: all that is open, or all that can be given back."""
    if request.POST.get("kind") == PaymentKind.REFUND and document.kind == "deposit":
        return held(document)
    return abs(document_open(document))


@require_POST
def use_credit(request: SignedIn, pk: int) -> HttpResponse:
    document = get_object_or_404(Document, pk=pk)
    done = _("Paid from the customer's credit.")
    attempt(request, done, credit_use, document=document, by=request.user)
    return _back(request, document)


@require_POST
def keep_credit(request: SignedIn, pk: int) -> HttpResponse:
    document = get_object_or_404(Document, pk=pk)
    done = _("It stands as the customer's credit.")
    attempt(request, done, credit_keep, document=document, by=request.user)
    return _back(request, document)


@require_POST
def on_account(request: SignedIn, pk: int) -> HttpResponse:
    """Money that names no invoice, received or given back."""
    customer = get_object_or_404(Customer, pk=pk)
    try:
        minor = amount_from(request.POST.get("amount", ""))
        payment_id = uuid.UUID(request.POST.get("id", ""))
    except ValidationError as error:
        messages.error(request, error.messages[0])
        return redirect("money:account", pk)
    except ValueError:
        messages.error(request, _("The form was not whole; please enter it once more."))
        return redirect("money:account", pk)
    gives = request.POST.get("kind") == PaymentKind.REFUND
    values = {"amount_minor": minor, **_kind_method_and_day(request)}
    values["kind"] = PaymentKind.REFUND if gives else PaymentKind.PAYMENT
    twice = _asks_twice(request, payment_id, customer, None, values)
    if twice is not None:
        return twice
    attempt(
        request,
        _("Given back.") if gives else _("It stands as the customer's credit."),
        payment_on_account,
        payment_id=payment_id,
        customer=customer,
        by=request.user,
        **values,
    )
    return redirect("money:account", pk)


@require_POST
def withdraw(request: SignedIn, pk: uuid.UUID) -> HttpResponse:
    payment = get_object_or_404(Payment.objects.select_related("document"), pk=pk)
    attempt(
        request,
        _("Struck through."),
        payment_withdraw,
        payment=payment,
        by=request.user,
        why=request.POST.get("why", ""),
    )
    if payment.document is None:
        return redirect("money:account", payment.customer_id)
    return _back(request, payment.document)
