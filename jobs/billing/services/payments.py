"""Payments, refunds and write-offs, entered by hand. Struck through, never edited."""

import datetime
import uuid

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from jobs.people.models import Business, Customer, User

from ..enums import DocumentKind, PaymentKind, PaymentMethod
from ..models import Document, Payment
from ..money import Money
from ..selectors.payments import document_open, free_credit
from ..selectors.prices import terms_get
from .deposits import prepayment_invoice_issue
from .freeze import today

PAYABLE = (DocumentKind.INVOICE, DocumentKind.DEPOSIT_REQUEST)


@transaction.atomic
def payment_add(
    *,
    payment_id: uuid.UUID,
    document: Document,
    amount_minor: int,
    by: User,
    method: str = PaymentMethod.TRANSFER,
    kind: str = PaymentKind.PAYMENT,
    received_on: datetime.date | None = None,
    note: str = "",
) -> Payment:
    """Enter money against one document. The same id again is the same payment.

    More than is open may be paid: the rest is the customer's, to be given back or used.
    A refund gives back no more than was overpaid; a write-off no more than is open.
    """
    earlier = Payment.objects.filter(pk=payment_id).first()
    if earlier is not None:
        return earlier
    document = Document.objects.select_for_update(no_key=True).get(pk=document.pk)
    _may_take(document, kind, amount_minor)
    payment = Payment.objects.create(
        id=payment_id,
        customer=document.customer,
        document=document,
        kind=kind,
        method=PaymentMethod.OTHER if kind == PaymentKind.WRITE_OFF else method,
        amount_minor=amount_minor,
        currency=document.currency,
        received_on=received_on or today(),
        note=note[:200],
        by=by,
    )
    is_deposit = document.kind == DocumentKind.DEPOSIT_REQUEST and kind == PaymentKind.PAYMENT
    if is_deposit and terms_get().tax_advances:
        prepayment_invoice_issue(payment=payment, by=by)
    return payment


def _may_take(document: Document, kind: str, amount_minor: int) -> None:
    if amount_minor <= 0:
        raise ValidationError(_("An amount above nought, please."))
    if document.is_draft or document.kind not in PAYABLE:
        raise ValidationError(_("%(label)s asks for no money.") % {"label": document})
    taken = document.followers.filter(kind=DocumentKind.INVOICE, number__isnull=False).first()
    if document.kind == DocumentKind.DEPOSIT_REQUEST and taken is not None:
        raise ValidationError(
            _("Invoice %(label)s has taken this deposit's place: enter it there.")
            % {"label": taken.label}
        )
    still_open = document_open(document)
    if kind == PaymentKind.WRITE_OFF and amount_minor > still_open:
        raise ValidationError(_("No more can be written off than is open."))
    if kind == PaymentKind.REFUND and amount_minor > _returnable(document, still_open):
        raise ValidationError(
            _("Only what was paid too much can be given back: %(sum)s. Credit the invoice first.")
            % {"sum": Money(_returnable(document, still_open), document.currency).text()}
        )


def _returnable(document: Document, still_open: int) -> int:
    """A deposit no invoice has used may be given back whole; else what was paid too much."""
    if document.kind == DocumentKind.DEPOSIT_REQUEST:
        return max(0, document.payable_minor - still_open)
    return max(0, -still_open)


@transaction.atomic
def credit_use(*, document: Document, by: User) -> Payment:
    """Use what a customer has standing for one of his invoices: two rows, no new money."""
    document = Document.objects.select_for_update(no_key=True).get(pk=document.pk)
    standing, still_open = free_credit(document.customer), document_open(document)
    if standing <= 0 or still_open <= 0:
        raise ValidationError(_("There is no credit to use, or nothing open to use it for."))
    amount_minor = min(standing, still_open)
    _moved(document, amount_minor, PaymentKind.REFUND, by, on_account=True)
    return _moved(document, amount_minor, PaymentKind.PAYMENT, by)


@transaction.atomic
def credit_keep(*, document: Document, by: User) -> Payment:
    """Keep what was paid too much on one invoice as the customer's credit for the next."""
    document = Document.objects.select_for_update(no_key=True).get(pk=document.pk)
    too_much = -document_open(document)
    if document.kind != DocumentKind.INVOICE or document.is_draft or too_much <= 0:
        raise ValidationError(_("Nothing was paid too much on %(label)s.") % {"label": document})
    _moved(document, too_much, PaymentKind.REFUND, by)
    return _moved(document, too_much, PaymentKind.PAYMENT, by, on_account=True)


def _moved(
    document: Document, amount_minor: int, kind: str, by: User, *, on_account: bool = False
) -> Payment:
    """One side of money moved between a document and the customer's credit."""
    return Payment.objects.create(
        customer=document.customer,
        document=None if on_account else document,
        kind=kind,
        method=PaymentMethod.MOVED,
        amount_minor=amount_minor,
        currency=document.currency,
        received_on=today(),
        note=document.label if on_account else _("credit"),
        by=by,
    )


@transaction.atomic
def payment_on_account(
    *, payment_id: uuid.UUID, customer: Customer, amount_minor: int, method: str, by: User
) -> Payment:
    """Money that names no invoice: it stands as the customer's credit."""
    earlier = Payment.objects.filter(pk=payment_id).first()
    if earlier is not None:
        return earlier
    if amount_minor <= 0:
        raise ValidationError(_("An amount above nought, please."))
    return Payment.objects.create(
        id=payment_id,
        customer=customer,
        method=method,
        amount_minor=amount_minor,
        currency=Business.objects.get().currency,
        received_on=today(),
        by=by,
    )


@transaction.atomic
def payment_withdraw(*, payment: Payment, by: User, why: str) -> Payment:
    """Strike a payment through. What rests on it says so instead of following along."""
    payment = Payment.objects.select_for_update(no_key=True).get(pk=payment.pk)
    if payment.withdrawn_at is not None:
        return payment
    if payment.method == PaymentMethod.MOVED:
        raise ValidationError(_("Moved between an invoice and the credit: move it back instead."))
    rests = _rests_on(payment)
    if rests is not None:
        raise ValidationError(
            _("%(label)s took this payment into account: credit that first.") % {"label": rests}
        )
    if not why.strip():
        raise ValidationError(_("Say why: it stays in the book, struck through."))
    payment.withdrawn_at, payment.withdrawn_by = timezone.now(), by
    payment.withdrawn_why = why[:200]
    payment.save(update_fields=["withdrawn_at", "withdrawn_by", "withdrawn_why"])
    return payment


def _rests_on(payment: Payment) -> Document | None:
    if payment.document is None or payment.document.kind != DocumentKind.DEPOSIT_REQUEST:
        return None
    later = (DocumentKind.INVOICE, DocumentKind.PREPAYMENT_INVOICE)
    return payment.document.followers.filter(kind__in=later, number__isnull=False).first()
