"""An invoice to a wrong address: credited and issued again in one act, nothing lost."""

import uuid
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import translation
from django.utils.translation import gettext as _

from jobs.people.models import User

from ..enums import AllocationReason, DocumentKind, PaymentKind, PriceUnit
from ..models import Document, Payment
from ..money import exponent, to_major
from ..selectors.lines_left import Discount, LineLeft, discounts_left, lines_left, quantity_minor
from ..selectors.payments import document_open
from ..selectors.prices import terms_get
from .credits import credit_note_issue
from .document_writing import Draft, DraftAllowance, DraftLine, document_write
from .issue import document_issue
from .ledger import money_move
from .payments import payment_add
from .prepaid import prepayments_take_off


@transaction.atomic
def invoice_reissue(*, invoice: Document, by: User, reason: str) -> Document:
    """Credit what is left of an invoice and issue the same again, to the address of today.

    Lines, discounts, deposits, payments and what was written off go over to the new invoice.
    What was credited before stays credited. Returns the new invoice.
    """
    invoice = Document.objects.select_for_update(no_key=True).get(pk=invoice.pk)
    if invoice.kind != DocumentKind.INVOICE or invoice.is_draft:
        raise ValidationError(_("Only an issued invoice is credited and issued again."))
    left = [one for one in lines_left(invoice) if not one.line.settles_id]
    discounts = discounts_left(invoice)
    given_up = _written_off(invoice)
    note = credit_note_issue(invoice=invoice, by=by, reason=reason)
    draft = _draft(invoice, left, discounts, note, by)
    entries = {one.line.entry_id for one in left if one.line.entry_id is not None}
    document = document_write(prepayments_take_off(draft, entries))
    document = document_issue(document=document, by=by)
    too_much = -document_open(invoice)
    if too_much > 0:
        money_move(
            amount_minor=too_much, off=invoice, onto=document,
            reason=AllocationReason.MOVED, by=by,
        )  # fmt: skip
    if given_up is not None and document_open(document) > 0:
        payment_add(
            payment_id=uuid.uuid4(),
            document=document,
            amount_minor=min(given_up.amount_minor, document_open(document)),
            by=by,
            kind=PaymentKind.WRITE_OFF,
            note=given_up.note,
        )
    return document


def _written_off(invoice: Document) -> Payment | None:
    """What was written off of it, as one payment unsaved; None: nothing."""
    rows = list(invoice.payments.filter(kind=PaymentKind.WRITE_OFF, withdrawn_at__isnull=True))
    if not rows:
        return None
    return Payment(amount_minor=sum(row.amount_minor for row in rows), note=rows[-1].note)


def _draft(
    invoice: Document,
    left: list[LineLeft],
    discounts: list[Discount],
    note: Document,
    by: User,
) -> Draft:
    with translation.override(invoice.language):
        words = _("Replaces %(label)s, which %(note)s credits.") % {
            "label": invoice.label,
            "note": note.label,
        }
    return Draft(
        kind=DocumentKind.INVOICE,
        customer=invoice.customer,
        lines=[_line(one) for one in left],
        allowances=[
            DraftAllowance(
                reason=one.row.reason,
                amount_minor=one.minor,
                taxes=one.row.taxes,
                entry=one.row.entry,
                charge_key=one.row.charge_key,
            )
            for one in discounts
            if one.minor
        ],
        terms=terms_get(),
        by=by,
        trackday=invoice.trackday,
        follows=invoice.follows,
        scheme=invoice.scheme,
        prices_include_tax=invoice.prices_include_tax,
        story=invoice.story,
        note=" ".join(filter(None, (invoice.note, words))),
        terms_text=invoice.terms_text,
        delivered_on=invoice.delivered_on,
    )


def _line(left: LineLeft) -> DraftLine:
    """The line as it was; where a sum was credited, what is left of it as one sum."""
    line, quantity = left.line, left.quantity
    by_sum = quantity is None or quantity_minor(line, quantity) != left.minor
    return DraftLine(
        description=line.description,
        price=to_major(left.minor, exponent(line.document.currency)) if by_sum else line.price,
        quantity=Decimal(1) if quantity is None or by_sum else quantity,
        unit=PriceUnit.PIECE if by_sum else line.unit,
        taxes=line.taxes,
        entry=line.entry,
        charge_key=line.charge_key,
        item_code=line.item_code,
    )
