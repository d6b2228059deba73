"""What of an invoice's lines no credit note has taken back, and the discount on it."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import floor

from ..models import Document, DocumentAllowance, DocumentLine
from ..money import exponent, to_minor


@dataclass(frozen=True)
class LineLeft:
    """The rest of one line. ``minor`` is in the document's own prices, as all sums here.

    ``discounted_minor``: what of the line still carries its part of a discount; what was
    credited as a sum took none of it. ``quantity`` None: a sum was credited, no quantity.
    """

    line: DocumentLine
    minor: int
    discounted_minor: int
    quantity: Decimal | None

    @property
    def pk(self) -> int:
        return self.line.pk


@dataclass(frozen=True)
class Discount:
    """What is left of a discount on the document."""

    row: DocumentAllowance
    minor: int


def lines_left(invoice: Document) -> list[LineLeft]:
    """Lines that issued credit notes have not taken back to the last cent."""
    credited: dict[int, list[DocumentLine]] = defaultdict(list)
    for row in DocumentLine.objects.filter(
        credits__document=invoice, document__number__isnull=False
    ):
        credited[row.credits_id or 0].append(row)
    found = []
    for line in invoice.lines.select_related("entry"):
        rest = _rest(line, credited[line.pk])
        if rest.minor or not credited[line.pk]:
            found.append(rest)
    return found


def _rest(line: DocumentLine, credited: list[DocumentLine]) -> LineLeft:
    """A credited quantity has the line's own price; what has another price is a sum."""
    by_quantity = [row for row in credited if row.price == line.price]
    quantity = None
    if len(by_quantity) == len(credited):
        quantity = line.quantity - sum(row.quantity for row in by_quantity)
    return LineLeft(
        line=line,
        minor=line.quoted_minor - sum(row.quoted_minor for row in credited),
        discounted_minor=line.quoted_minor - sum(row.quoted_minor for row in by_quantity),
        quantity=quantity,
    )


def quantity_minor(line: DocumentLine, quantity: Decimal) -> int:
    return to_minor(quantity * line.price, exponent(line.document.currency))


def discounts_left(invoice: Document) -> list[Discount]:
    """Discounts less what earlier credit notes took back of them."""
    earlier: dict[tuple[str, str], int] = defaultdict(int)
    for note in invoice.corrections.filter(number__isnull=False).prefetch_related("allowances"):
        for row in note.allowances.all():
            earlier[row.reason, repr(row.taxes)] += row.quoted_minor
    found = []
    for row in invoice.allowances.select_related("entry"):
        key = row.reason, repr(row.taxes)
        gone = min(earlier[key], row.quoted_minor)
        earlier[key] -= gone
        found.append(Discount(row, row.quoted_minor - gone))
    return found


def discount_share(discount: Discount, invoice: Document, carrying: Mapping[int, int]) -> int:
    """The part of a discount that lies on these sums, by line; no more than is left of it."""
    row = discount.row
    under = [line for line in invoice.lines.all() if _lies_on(row, line)]
    whole = sum(line.quoted_minor for line in under)
    part = sum(carrying.get(line.pk, 0) for line in under)
    share = floor(Fraction(row.quoted_minor * part, whole)) if whole else 0
    return min(discount.minor, share)


def _lies_on(row: DocumentAllowance, line: DocumentLine) -> bool:
    return line.taxes == row.taxes and line.entry_id == row.entry_id


def most_as_sum(left: LineLeft, invoice: Document, discounts: Collection[Discount]) -> int:
    """The largest sum of a line that can be credited without touching its discount."""
    carrying = {left.pk: left.discounted_minor}
    return left.minor - sum(discount_share(one, invoice, carrying) for one in discounts)
