"""What takes back an issued document, or a payment that was entered wrongly."""

import datetime
import uuid

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from jobs.billing.models import Document, Payment
from jobs.billing.selectors.takings import MONEY_METHODS
from jobs.billing.services.credits import Part, credit_note_issue
from jobs.billing.services.payment_corrections import payment_correct
from jobs.billing.services.reissue import invoice_reissue
from jobs.people.access import SignedIn

from ..answers import amount_from, attempt, price_from


@require_POST
def credit(request: SignedIn, pk: int) -> HttpResponse:
    """All that is left, or the lines ticked and the parts of lines typed."""
    invoice = get_object_or_404(Document.objects.select_related("customer"), pk=pk)
    try:
        parts = None if "whole" in request.POST else _parts(request, invoice)
    except ValidationError as error:
        messages.error(request, error.messages[0])
        return redirect("money:document", pk)
    note = attempt(
        request,
        "",
        credit_note_issue,
        invoice=invoice,
        by=request.user,
        reason=request.POST.get("reason", ""),
        parts=parts,
    )
    if note is None:
        return redirect("money:document", pk)
    messages.success(request, _("Credit note %(label)s is issued.") % {"label": note.label})
    return redirect("money:document", note.pk)


def _parts(request: SignedIn, invoice: Document) -> dict[int, Part]:
    ticked = request.POST.getlist("line")
    found = {}
    for line in invoice.lines.all():
        amount = request.POST.get(f"sum-{line.pk}", "").strip()
        quantity = price_from(request.POST.get(f"quantity-{line.pk}", ""))
        if amount and quantity is not None:
            raise ValidationError(
                _("“%(what)s”: a sum or a quantity, not both.") % {"what": line.description}
            )
        if amount:
            found[line.pk] = Part(amount_minor=amount_from(amount))
        elif quantity is not None:
            found[line.pk] = Part(quantity=quantity)
        elif str(line.pk) in ticked:
            found[line.pk] = Part()
    if not found:
        raise ValidationError(_("Tick a line, or type how much of it is credited."))
    return found


@require_POST
def reissue(request: SignedIn, pk: int) -> HttpResponse:
    """To another address: credited and issued again in one act."""
    invoice = get_object_or_404(Document.objects.select_related("customer"), pk=pk)
    made = attempt(
        request, "", invoice_reissue, invoice=invoice, by=request.user,
        reason=request.POST.get("reason", ""),
    )  # fmt: skip
    if made is None:
        return redirect("money:document", pk)
    messages.success(
        request,
        _("%(old)s is credited; %(new)s takes its place, with all that was paid.")
        % {"old": invoice.label, "new": made.label},
    )
    return redirect("money:document", made.pk)


@require_POST
def correct_payment(request: SignedIn, pk: uuid.UUID) -> HttpResponse:
    """Another sum, day, method or document; what was entered first stays, struck through."""
    payment = get_object_or_404(Payment.objects.select_related("document", "customer"), pk=pk)
    try:
        values = {
            "payment_id": uuid.UUID(request.POST.get("id", "")),
            "amount_minor": amount_from(request.POST.get("amount", "")),
            "received_on": datetime.date.fromisoformat(request.POST.get("received_on", "")),
            "document": _document_named(request.POST.get("to", "")),
        }
    except ValidationError as error:
        messages.error(request, error.messages[0])
        return _where(payment)
    except ValueError:
        messages.error(request, _("The form was not whole; please enter it once more."))
        return _where(payment)
    method = request.POST.get("method", "")
    made = attempt(
        request,
        _("Corrected; what was entered first is struck through."),
        payment_correct,
        payment=payment,
        by=request.user,
        method=method if method in MONEY_METHODS else payment.method,
        **values,
    )
    return _where(made or payment)


def _document_named(label: str) -> Document | None:
    """The document with this number; nothing typed: none, the money stands on account."""
    if not label.strip():
        return None
    found = Document.objects.filter(label__iexact=label.strip()).first()
    if found is None:
        raise ValidationError(_("No document has the number “%(label)s”.") % {"label": label})
    return found


def _where(payment: Payment) -> HttpResponse:
    if payment.document_id is None:
        return redirect("money:account", payment.customer_id)
    return redirect("money:document", payment.document_id)
