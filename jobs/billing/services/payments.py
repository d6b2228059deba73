"""Payments, refunds and write-offs, entered by hand; withdrawn, never edited."""

import datetime
import uuid

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from jobs.people.dates import business_today
from jobs.people.enums import TrailEvent
from jobs.people.models import Customer, User
from jobs.people.selectors import business_get
from jobs.people.trail import trail_note

from ..enums import AllocationReason, DocumentKind, PaymentKind, PaymentMethod
from ..models import Allocation, Document, Payment
from ..money import Money
from ..selectors.ledger import free_credit, held, replaced_by
from ..selectors.payments import BALANCED, OWED, document_open
from ..selectors.prices import terms_get
from .deposits import prepayment_invoice_issue
from .ledger import money_move, payment_allocate, payment_undo
from .months import refuse_closed


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
    A refund gives back no more than was paid too much; a write-off no more than is open.
    """
    document = Document.objects.select_for_update(no_key=True).get(pk=document.pk)
    earlier = Payment.objects.filter(pk=payment_id).first()  # under the lock: two may send it
    if earlier is not None:
        return earlier
    _may_take(document, kind, amount_minor)
    received_on = received_on or business_today()
    _refuse_closed_day(received_on)
    payment = Payment.objects.create(
        id=payment_id,
        customer=document.customer,
        document=document,
        kind=kind,
        method=PaymentMethod.OTHER if kind == PaymentKind.WRITE_OFF else method,
        amount_minor=amount_minor,
        currency=document.currency,
        received_on=received_on,
        note=note[:200],
        by=by,
    )
    payment_allocate(payment)
    is_deposit = document.kind == DocumentKind.DEPOSIT_REQUEST and kind == PaymentKind.PAYMENT
    if is_deposit and terms_get().tax_advances:
        prepayment_invoice_issue(payment=payment, by=by)
    if kind == PaymentKind.PAYMENT:
        write_offs_yield(document, by=by)
    trail_note(TrailEvent.PAYMENT_ENTERED, by=by, ref=payment.pk)
    return payment


def _may_take(document: Document, kind: str, amount_minor: int) -> None:
    if amount_minor <= 0:
        raise ValidationError(_("An amount above zero, please."))
    if document.is_draft or document.kind not in BALANCED:
        raise ValidationError(_("%(label)s asks for no money.") % {"label": document})
    is_deposit = document.kind == DocumentKind.DEPOSIT_REQUEST
    if kind == PaymentKind.REFUND:
        _may_give_back(document, amount_minor, is_deposit)
        return
    if is_deposit and kind == PaymentKind.WRITE_OFF:
        raise ValidationError(_("A deposit that is not paid is no debt: nothing to write off."))
    taken = replaced_by(document) if is_deposit else None
    if taken is not None:
        raise ValidationError(
            _("Invoice %(label)s has taken this deposit's place: enter it there.")
            % {"label": taken.label}
        )
    if kind == PaymentKind.WRITE_OFF and amount_minor > document_open(document):
        raise ValidationError(_("No more can be written off than is open."))


def _may_give_back(document: Document, amount_minor: int, is_deposit: bool) -> None:
    """Of a deposit what no document has used; else what was paid too much."""
    returnable = max(0, held(document) if is_deposit else -document_open(document))
    if amount_minor > returnable:
        raise ValidationError(
            _("Only what was paid too much can be given back: %(sum)s. Credit the invoice first.")
            % {"sum": Money(returnable, document.currency).text()}
        )


def write_offs_yield(document: Document, *, by: User | None) -> None:
    """What was written off and is paid or credited after all is no longer written off.

    Otherwise the customer would be given back money that never came.
    """
    too_much = -document_open(document) if document.kind in OWED else 0
    given_up = document.payments.filter(kind=PaymentKind.WRITE_OFF, withdrawn_at__isnull=True)
    for row in given_up.order_by("-at"):
        if too_much <= 0:
            return
        author = by or row.by
        _strike(row, author, _("No longer open."))
        rest = row.amount_minor - too_much
        too_much -= row.amount_minor
        if rest > 0:
            smaller = Payment.objects.create(
                customer=row.customer,
                document=document,
                kind=PaymentKind.WRITE_OFF,
                method=PaymentMethod.OTHER,
                amount_minor=rest,
                currency=row.currency,
                received_on=row.received_on,
                note=row.note,
                by=author,
            )
            payment_allocate(smaller)
            trail_note(TrailEvent.PAYMENT_ENTERED, by=author, ref=smaller.pk)


@transaction.atomic
def credit_use(*, document: Document, by: User) -> int:
    """Use a customer's credit for one of their documents: no new money. Returns how much.

    Of a customer found twice each row gives what it has, its own first: the rows of the ledger
    still say whose it was when the two are taken apart.
    """
    customer = Customer.objects.select_for_update(no_key=True).get(pk=document.customer_id)
    document = Document.objects.select_for_update(no_key=True).get(pk=document.pk)
    standing = free_credit(customer)
    if document.is_draft or document.kind not in OWED:
        raise ValidationError(_("%(label)s asks for no money.") % {"label": document})
    amount_minor = min(standing, document_open(document))
    if amount_minor <= 0:
        raise ValidationError(_("There is no credit to use, or nothing open to use it for."))
    money_move(
        amount_minor=amount_minor,
        off=None,
        account_of=customer,
        onto=document,
        reason=AllocationReason.MOVED,
        by=by,
    )
    trail_note(TrailEvent.CREDIT_MOVED, by=by, ref=document.pk)
    return amount_minor


@transaction.atomic
def credit_keep(*, document: Document, by: User) -> int:
    """Keep as credit what was paid too much, or a deposit that no invoice needs."""
    document = Document.objects.select_for_update(no_key=True).get(pk=document.pk)
    is_deposit = document.kind == DocumentKind.DEPOSIT_REQUEST
    too_much = held(document) if is_deposit else -document_open(document)
    if document.is_draft or document.kind not in BALANCED or too_much <= 0:
        raise ValidationError(_("Nothing was paid too much on %(label)s.") % {"label": document})
    money_move(amount_minor=too_much, off=document, onto=None, reason=AllocationReason.MOVED, by=by)
    trail_note(TrailEvent.CREDIT_MOVED, by=by, ref=document.pk)
    return too_much


@transaction.atomic
def payment_on_account(
    *,
    payment_id: uuid.UUID,
    customer: Customer,
    amount_minor: int,
    method: str,
    by: User,
    kind: str = PaymentKind.PAYMENT,
    received_on: datetime.date | None = None,
) -> Payment:
    """Money that names no invoice stands as the customer's credit; a refund gives it back."""
    customer = Customer.objects.select_for_update(no_key=True).get(pk=customer.pk)
    earlier = Payment.objects.filter(pk=payment_id).first()
    if earlier is not None:
        return earlier
    currency = business_get().currency
    if amount_minor <= 0:
        raise ValidationError(_("An amount above zero, please."))
    if kind == PaymentKind.REFUND and amount_minor > free_credit(customer):
        raise ValidationError(
            _("Only what stands as credit can be given back: %(sum)s.")
            % {"sum": Money(max(0, free_credit(customer)), currency).text()}
        )
    received_on = received_on or business_today()
    _refuse_closed_day(received_on)
    payment = Payment.objects.create(
        id=payment_id,
        customer=customer,
        kind=kind,
        method=method,
        amount_minor=amount_minor,
        currency=currency,
        received_on=received_on,
        by=by,
    )
    payment_allocate(payment)
    trail_note(TrailEvent.PAYMENT_ENTERED, by=by, ref=payment.pk)
    return payment


@transaction.atomic
def payment_withdraw(*, payment: Payment, by: User, why: str) -> Payment:
    """Strike a payment through. Refused while an issued document takes it into account, or
    where more was given back than would be left."""
    if payment.document_id is None:
        Customer.objects.select_for_update(no_key=True).get(pk=payment.customer_id)
    else:
        Document.objects.select_for_update(no_key=True).get(pk=payment.document_id)
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
    _strike(payment, by, why)
    _refuse_below_zero(payment)
    return payment


def _refuse_closed_day(received_on: datetime.date) -> None:
    refuse_closed(received_on, what=_("The payment"), instead=_("Enter it with a later date."))


def _strike(payment: Payment, by: User, why: str) -> None:
    given_up = payment.kind == PaymentKind.WRITE_OFF
    words = _("What was written off, %(sum)s,") if given_up else _("The %(kind)s of %(sum)s")
    refuse_closed(
        payment.received_on,
        what=words
        % {
            "kind": payment.get_kind_display(),
            "sum": Money(payment.amount_minor, payment.currency).text(),
        },
        instead=_("Enter what corrects it with a later date."),
    )
    payment_undo(payment, by=by)
    payment.withdrawn_at, payment.withdrawn_by = timezone.now(), by
    payment.withdrawn_why = why[:200]
    payment.save(update_fields=["withdrawn_at", "withdrawn_by", "withdrawn_why"])
    trail_note(TrailEvent.PAYMENT_WITHDRAWN, by=by, ref=payment.pk)


def _rests_on(payment: Payment) -> Document | None:
    """An invoice whose printed sum counts on this payment, and that is not credited."""
    taken = Document.objects.filter(
        allocations__payment=payment, allocations__reason=AllocationReason.TAKEN
    ).exclude(kind=DocumentKind.DEPOSIT_REQUEST)
    for document in taken.distinct().order_by("pk"):
        rows = Allocation.objects.filter(
            payment=payment, document=document, reason=AllocationReason.TAKEN
        )
        if sum(row.amount_minor for row in rows) > 0:
            return document
    return None


def _refuse_below_zero(payment: Payment) -> None:
    """A refund of this money, or a use of it, would hang in the air."""
    document = payment.document
    if document is not None and document.kind == DocumentKind.DEPOSIT_REQUEST:
        left = held(document)
    else:
        left = 0
    left = min(left, free_credit(payment.customer))
    if left < 0:
        raise ValidationError(
            _("%(sum)s of it was given back or used: strike that through first.")
            % {"sum": Money(-left, payment.currency).text()}
        )
