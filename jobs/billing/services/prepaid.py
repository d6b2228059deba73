"""What was paid in advance on the way onto an invoice: deposits, and taxed prepayments.

A deposit's money is taken into account as one sum (BT-113), as it stands when the invoice is
issued. A prepayment invoice was taxed already: its lines are taken off again at the same rate.
"""

from collections.abc import Collection
from dataclasses import replace

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from ..enums import AllocationReason, DocumentKind
from ..models import Document, DocumentLine
from ..money import exponent, to_major
from ..selectors.document_page import day_written
from ..selectors.ledger import entries_of, line_left, prepaid_for, prepayments_open, settled_on
from .document_writing import Draft, DraftLine, gross_of
from .ledger import money_move

Deposits = list[tuple[Document, int]]


def prepayments_take_off(draft: Draft, entry_ids: Collection[int]) -> Draft:
    """The draft with lines of quantity below zero for prepayment invoices of these entries.

    EN 16931 forbids a negative price (BR-27), not a negative quantity. With net prices the
    parts' taxes may round otherwise than the whole's: the rounding amount evens that out.
    """
    included = draft.is_tax_included
    taken, worth = [], 0
    for prepayment in prepayments_open(draft.customer, entry_ids, drafts=True):
        for line in prepayment.lines.all():
            quoted, net = line_left(line)
            worth += quoted
            if quoted:
                taken.append(_taken_off(prepayment, line, quoted if included else net))
    if not taken:
        return draft
    less = replace(draft, lines=[*draft.lines, *taken])
    if not included:
        less.rounding_minor = gross_of(draft) - worth - gross_of(less)
    return less


def _taken_off(prepayment: Document, line: DocumentLine, minor: int) -> DraftLine:
    words = _("Less prepayment %(label)s of %(day)s") % {
        "label": prepayment.label,
        "day": day_written(prepayment, prepayment.issued_on),
    }
    return DraftLine(
        description=words,
        price=to_major(minor, exponent(prepayment.currency)),
        quantity=-line.quantity,
        unit=line.unit,
        taxes=line.taxes,
        settles=prepayment,
    )


def prepaid_renew(document: Document, *, lock: bool = False) -> Deposits:
    """Give an unissued invoice what stands at its deposits now, unsaved; returns from where.

    Raises ValidationError, when it is to be issued, where its lines take off a prepayment that
    another invoice took off since, or not one that was paid since.
    """
    if document.kind == DocumentKind.PREPAYMENT_INVOICE:
        assert document.follows is not None
        document.prepaid_minor, document.payable_minor = document.total_minor, 0
        return [(document.follows, document.total_minor)]
    if document.kind != DocumentKind.INVOICE:
        return []
    if lock:
        _refuse_other_prepayments(document)
    deposits = prepaid_for(document, lock=lock)
    document.prepaid_minor = sum(minor for _deposit, minor in deposits)
    document.payable_minor = document.total_minor - document.prepaid_minor
    return deposits


def _refuse_other_prepayments(document: Document) -> None:
    on_it = {line.settles for line in document.lines.filter(settles__isnull=False)}
    gone = [one for one in on_it if one is not None and settled_on(one, drafts=False)]
    entries = entries_of(document)
    missing = [
        one for one in prepayments_open(document.customer, entries, drafts=True) if one not in on_it
    ]
    for one in (*gone, *missing):
        raise ValidationError(
            _("What %(label)s took in advance changed since this draft was written: throw the"
              " draft away and write it again.") % {"label": one.label}
        )  # fmt: skip


def prepaid_take(document: Document, deposits: Deposits) -> None:
    """The document is issued: the deposits' money stands against it from now on."""
    for deposit, minor in deposits:
        money_move(
            amount_minor=minor,
            off=deposit,
            onto=document,
            reason=AllocationReason.TAKEN,
            by=document.issued_by,
            day=document.issued_on,
        )
