"""A payment entered wrongly: struck through and entered anew in one act."""

import datetime
import uuid

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from jobs.people.models import User

from ..enums import PaymentKind
from ..models import BankLine, Document, Payment
from .payments import payment_add, payment_on_account, payment_withdraw


@transaction.atomic
def payment_correct(
    *,
    payment_id: uuid.UUID,
    payment: Payment,
    by: User,
    amount_minor: int,
    method: str,
    received_on: datetime.date,
    document: Document | None,
) -> Payment:
    """Another sum, day, method or document for a payment or a refund.

    ``document`` None: it stands on the account of the customer it was entered for. The row
    entered first stays in the book, struck through, and says what replaced it.
    """
    earlier = Payment.objects.filter(pk=payment_id).first()
    if earlier is not None:
        return earlier
    if payment.kind == PaymentKind.WRITE_OFF:
        raise ValidationError(_("What was written off is struck through and written off anew."))
    if payment.withdrawn_at is not None:
        raise ValidationError(_("This payment is struck through already."))
    same = (amount_minor, method, received_on, document.pk if document else None)
    if same == (payment.amount_minor, payment.method, payment.received_on, payment.document_id):
        raise ValidationError(_("Nothing is different from what was entered."))
    if amount_minor != payment.amount_minor and BankLine.objects.filter(payment=payment).exists():
        raise ValidationError(_("This sum came from the bank's file: only its place can change."))
    payment_withdraw(payment=payment, by=by, why=_("Entered wrongly, entered anew."))
    corrected = _entered_anew(payment_id, payment, by, amount_minor, method, received_on, document)
    BankLine.objects.filter(payment=payment).update(payment=corrected)  # it stands there now
    return corrected


def _entered_anew(
    payment_id: uuid.UUID,
    payment: Payment,
    by: User,
    amount_minor: int,
    method: str,
    received_on: datetime.date,
    document: Document | None,
) -> Payment:
    if document is None:
        return payment_on_account(
            payment_id=payment_id,
            customer=payment.customer,
            amount_minor=amount_minor,
            method=method,
            by=by,
            kind=payment.kind,
            received_on=received_on,
        )
    return payment_add(
        payment_id=payment_id,
        document=document,
        amount_minor=amount_minor,
        by=by,
        method=method,
        kind=payment.kind,
        received_on=received_on,
        note=payment.note,
    )
