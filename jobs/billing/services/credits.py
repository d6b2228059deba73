"""Credit notes: the whole of an invoice, what is left of it, or some of its lines."""

from collections import defaultdict
from collections.abc import Collection
from fractions import Fraction
from math import floor

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Sum
from django.utils.translation import gettext as _

from jobs.people.models import User

from ..enums import DocumentKind
from ..models import Document, DocumentAllowance, DocumentLine
from ..selectors.ledger import settled_on
from ..selectors.payments import document_open
from ..selectors.prices import terms_get
from .document_writing import Draft, DraftAllowance, DraftLine, document_write
from .issue import document_issue
from .ledger import deposits_return
from .payments import write_offs_yield

CREDITABLE = (DocumentKind.INVOICE, DocumentKind.PREPAYMENT_INVOICE)


@transaction.atomic
def credit_note_issue(
    *,
    invoice: Document,
    by: User | None,
    reason: str,
    line_ids: Collection[int] | None = None,
) -> Document:
    """Type 381: positive amounts, own series, naming the invoice. ``line_ids`` None: all left.

    The credit note of the last open line also takes what rounding has left over, so that an
    invoice credited in full, at once or in steps, comes to exactly zero.
    """
    invoice = Document.objects.select_for_update(no_key=True).get(pk=invoice.pk)
    _refuse(invoice, reason)
    left = lines_left(invoice)
    chosen = [line for line in left if line_ids is None or line.pk in line_ids]
    if not chosen:
        raise ValidationError(_("Nothing of %(label)s is left to credit.") % {"label": invoice})
    if all(line.settles_id for line in left if line not in chosen):
        chosen = left  # a prepayment is taken off nothing: it goes back with the last line
    last = len(chosen) == len(left)
    lines = [_credit_line(line) for line in chosen]
    terms = terms_get()
    draft = Draft(
        kind=DocumentKind.CREDIT_NOTE,
        customer=invoice.customer,
        lines=lines,
        allowances=_allowances(invoice, chosen, last=last),
        terms=terms,
        by=by,
        trackday=invoice.trackday,
        corrects=invoice,
        prices_include_tax=invoice.prices_include_tax,
        story=invoice.story,
        note=reason,
        delivered_on=invoice.delivered_on,
    )
    document = document_write(draft)
    if last and not invoice.prices_include_tax:
        document = _even_out_rounding(document, invoice)
    document.scheme = invoice.scheme
    document.save(update_fields=["scheme"])
    document = document_issue(document=document, by=by)
    _settle(invoice, by, whole=last)
    return document


def _settle(invoice: Document, by: User | None, *, whole: bool) -> None:
    """What is credited need not be written off; deposits stand again where they stood."""
    write_offs_yield(invoice, by=by)
    if whole:
        deposits_return(invoice, too_much=-document_open(invoice), by=by)


def lines_left(invoice: Document) -> list[DocumentLine]:
    """Lines no issued credit note has taken back. Credited lines are credited whole."""
    credited = DocumentLine.objects.filter(
        credits__document=invoice, document__number__isnull=False
    ).values_list("credits", flat=True)
    return list(invoice.lines.exclude(pk__in=credited).select_related("entry"))


def _refuse(invoice: Document, reason: str) -> None:
    if invoice.is_draft:
        raise ValidationError(_("A draft is thrown away, not credited."))
    if invoice.kind not in CREDITABLE:
        raise ValidationError(
            _("A %(kind)s takes no credit note.") % {"kind": invoice.get_kind_display().lower()}
        )
    taken_off = settled_on(invoice, drafts=False)
    if taken_off is not None:
        raise ValidationError(
            _("%(label)s takes %(prepayment)s off: credit that first.")
            % {"label": taken_off, "prepayment": invoice}
        )
    if not reason.strip():
        raise ValidationError(_("Say why: the reason is printed on the credit note."))


def _credit_line(line: DocumentLine) -> DraftLine:
    return DraftLine(
        description=line.description,
        price=line.price,
        quantity=line.quantity,
        unit=line.unit,
        taxes=line.taxes,
        entry=line.entry,
        item_code=line.item_code,
        credits=line,
    )


def _allowances(
    invoice: Document, chosen: list[DocumentLine], *, last: bool
) -> list[DraftAllowance]:
    """The discount that lay on the credited lines, by their share; the last takes the rest."""
    earlier: dict[tuple[str, str], int] = defaultdict(int)
    for note in invoice.corrections.filter(number__isnull=False).prefetch_related("allowances"):
        for row in note.allowances.all():
            earlier[row.reason, repr(row.taxes)] += row.quoted_minor
    found = []
    for row in invoice.allowances.select_related("entry"):
        key = row.reason, repr(row.taxes)
        rest = row.quoted_minor - min(earlier[key], row.quoted_minor)
        earlier[key] -= row.quoted_minor - rest
        share = rest if last else min(rest, _share(row, invoice, chosen))
        if share:
            found.append(
                DraftAllowance(
                    reason=row.reason, amount_minor=share, taxes=row.taxes, entry=row.entry
                )
            )
    return found


def _share(row: DocumentAllowance, invoice: Document, chosen: list[DocumentLine]) -> int:
    def under(lines: list[DocumentLine]) -> int:
        return sum(
            line.quoted_minor
            for line in lines
            if line.taxes == row.taxes and line.entry_id == row.entry_id
        )

    whole = under(list(invoice.lines.all()))
    return floor(Fraction(row.quoted_minor * under(chosen), whole)) if whole else 0


def _even_out_rounding(document: Document, invoice: Document) -> Document:
    """With net prices the parts' taxes may round otherwise than the whole's: even that out."""
    earlier = invoice.corrections.filter(number__isnull=False).aggregate(
        gross=Sum("gross_minor"), rounding=Sum("rounding_minor")
    )
    credited = (earlier["gross"] or 0) + (earlier["rounding"] or 0)
    document.rounding_minor = invoice.total_minor - credited - document.gross_minor
    document.payable_minor = document.gross_minor + document.rounding_minor
    document.save(update_fields=["rounding_minor", "payable_minor"])
    return document
