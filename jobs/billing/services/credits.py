"""Credit notes: all that is left of an invoice, some of its lines, or part of a line."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Sum
from django.utils.translation import gettext as _

from jobs.people.models import User

from ..enums import DocumentKind, PriceUnit
from ..models import Document
from ..money import Money, exponent, to_major
from ..selectors.ledger import settled_on
from ..selectors.lines_left import (
    LineLeft,
    discount_share,
    discounts_left,
    lines_left,
    most_as_sum,
    quantity_minor,
)
from ..selectors.payments import document_open
from ..selectors.prices import terms_get
from .document_writing import Draft, DraftAllowance, DraftLine, document_write
from .issue import document_issue
from .ledger import deposits_return
from .payments import write_offs_yield

CREDITABLE = (DocumentKind.INVOICE, DocumentKind.PREPAYMENT_INVOICE)


@dataclass(frozen=True, kw_only=True)
class Part:
    """How much of a line is credited: a quantity, or a sum in the invoice's own prices.

    Neither: all that is left of it.
    """

    quantity: Decimal | None = None
    amount_minor: int | None = None


@dataclass(frozen=True)
class Credited:
    """What a credit note takes back of one line."""

    left: LineLeft
    minor: int
    quantity: Decimal | None  # None: a sum

    @property
    def is_whole(self) -> bool:
        return self.minor == self.left.minor

    @property
    def discounted_minor(self) -> int:
        if self.is_whole:
            return self.left.discounted_minor
        return 0 if self.quantity is None else self.minor


@transaction.atomic
def credit_note_issue(
    *,
    invoice: Document,
    by: User | None,
    reason: str,
    line_ids: Collection[int] | None = None,
    parts: Mapping[int, Part] | None = None,
) -> Document:
    """Type 381: positive amounts, own series, naming the invoice.

    ``line_ids`` names lines to credit whole, ``parts`` lines to credit in part; neither: all
    that is left. The credit note of the last open line also takes what rounding has left over,
    so that an invoice credited in full, at once or in steps, comes to exactly zero.
    """
    invoice = Document.objects.select_for_update(no_key=True).get(pk=invoice.pk)
    _refuse(invoice, reason)
    left = lines_left(invoice)
    asked = dict(parts or {}) | {pk: Part() for pk in line_ids or ()}
    if line_ids is None and parts is None:
        asked = {one.pk: Part() for one in left}
    chosen = [_credited(one, asked[one.pk], invoice) for one in left if one.pk in asked]
    if not chosen:
        raise ValidationError(_("Nothing of %(label)s is left to credit.") % {"label": invoice})
    whole = {one.left.pk for one in chosen if one.is_whole}
    if all(one.line.settles_id for one in left if one.pk not in whole):
        # A prepayment is taken off nothing: it goes back with the last line.
        chosen = [_credited(one, Part(), invoice) for one in left]
    last = len(chosen) == len(left) and all(one.is_whole for one in chosen)
    document = document_write(_draft(invoice, chosen, reason, by, last=last))
    if last and not invoice.prices_include_tax:
        document = _even_out_rounding(document, invoice)
    document = document_issue(document=document, by=by)
    _settle(invoice, by, whole=last)
    return document


def _draft(
    invoice: Document, chosen: Sequence[Credited], reason: str, by: User | None, *, last: bool
) -> Draft:
    return Draft(
        kind=DocumentKind.CREDIT_NOTE,
        customer=invoice.customer,
        lines=[_credit_line(one) for one in chosen],
        allowances=_allowances(invoice, chosen, last=last),
        terms=terms_get(),
        by=by,
        trackday=invoice.trackday,
        corrects=invoice,
        scheme=invoice.scheme,
        prices_include_tax=invoice.prices_include_tax,
        story=_story(invoice, chosen),
        note=reason,
        delivered_on=invoice.delivered_on,
    )


def _story(invoice: Document, chosen: Sequence[Credited]) -> list[dict[str, Any]]:
    """The bikes of the lines that are taken back; the work on them was told on the invoice."""
    entries = {one.left.line.entry_id for one in chosen}
    told = [part for part in invoice.story if part["entry"] in entries]
    return [part | {"done": [], "recommended": []} for part in told]


def _settle(invoice: Document, by: User | None, *, whole: bool) -> None:
    """What is credited need not be written off; deposits stand again where they stood."""
    write_offs_yield(invoice, by=by)
    if whole:
        deposits_return(invoice, too_much=-document_open(invoice), by=by)


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


def _credited(left: LineLeft, part: Part, invoice: Document) -> Credited:
    """How much of a line ``part`` is; refused where it is more than is left, or nothing."""
    if part.quantity is not None and part.quantity != left.quantity:
        return _of_quantity(left, part.quantity)
    if part.amount_minor is not None and part.amount_minor != left.minor:
        return _of_amount(left, part.amount_minor, invoice)
    if left.quantity is not None and quantity_minor(left.line, left.quantity) == left.minor:
        return Credited(left, left.minor, left.quantity)
    return Credited(left, left.minor, None)


def _of_quantity(left: LineLeft, quantity: Decimal) -> Credited:
    what = left.line.description
    if left.quantity is None:
        raise ValidationError(
            _("Of “%(what)s” a sum was credited before: credit a sum again.") % {"what": what}
        )
    minor = quantity_minor(left.line, quantity)
    if not 0 < quantity < left.quantity or not 0 < minor < left.minor:
        raise ValidationError(
            _("Of “%(what)s” between 0 and %(most)s can be credited, not %(typed)s.")
            % {"what": what, "most": f"{left.quantity.normalize():f}", "typed": quantity}
        )
    return Credited(left, minor, quantity)


def _of_amount(left: LineLeft, minor: int, invoice: Document) -> Credited:
    most = most_as_sum(left, invoice, discounts_left(invoice))
    if not 0 < minor <= most:
        raise ValidationError(
            _("Of “%(what)s” at most %(most)s can be credited, not %(typed)s.")
            % {
                "what": left.line.description,
                "most": Money(most, invoice.currency).text(),
                "typed": Money(minor, invoice.currency).text(),
            }
        )
    return Credited(left, minor, None)


def _credit_line(one: Credited) -> DraftLine:
    line = one.left.line
    by_sum = one.quantity is None
    return DraftLine(
        description=line.description,
        price=to_major(one.minor, exponent(line.document.currency)) if by_sum else line.price,
        quantity=Decimal(1) if one.quantity is None else one.quantity,
        unit=PriceUnit.PIECE if by_sum else line.unit,
        taxes=line.taxes,
        entry=line.entry,
        item_code=line.item_code,
        credits=line,
    )


def _allowances(
    invoice: Document, chosen: Sequence[Credited], *, last: bool
) -> list[DraftAllowance]:
    """The discount that lay on what is credited, by its share; the last takes the rest."""
    carrying = {one.left.pk: one.discounted_minor for one in chosen}
    found = []
    for discount in discounts_left(invoice):
        share = discount.minor if last else discount_share(discount, invoice, carrying)
        row = discount.row
        if share:
            found.append(
                DraftAllowance(
                    reason=row.reason, amount_minor=share, taxes=row.taxes, entry=row.entry
                )
            )
    return found


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
