"""The lines of a quote or an invoice from what is due: prices as promised, taxes of the day."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from jobs.people.models import Customer
from jobs.people.selectors import business_get
from jobs.trackday.models import Entry

from ..enums import TaxCategory
from ..models import Terms
from ..money import apportion, exponent, to_minor
from ..selectors.due_charges import DueCharge, due_charges
from ..selectors.prices import TaxTable, tax_factor
from .document_writing import Components, DraftAllowance, DraftLine

PRICE_STEP = Decimal("0.000001")  # as a line keeps its price
RELIEVED = {TaxCategory.REVERSE, TaxCategory.EXEMPT}


@dataclass(frozen=True)
class DueParts:
    """What a document is made of; ``is_tax_included``: how its prices are to be read."""

    lines: list[DraftLine]
    allowances: list[DraftAllowance]
    is_tax_included: bool


def parts_from_dues(
    customer: Customer, entries: Sequence[Entry], terms: Terms, *, already: bool = False
) -> DueParts:
    """Lines and discounts of what is open; ``already``: of what is billed too (a quote).

    Prices include tax as they did in an accepted quote, whatever the terms say now: what it
    promised is charged to the cent. All that it did not name is converted.
    """
    by_entry = due_charges(entries)
    found = [
        due
        for entry in entries
        for due in by_entry[entry.pk]
        if not due.waived_why and (already or due.document_id is None)
    ]
    unpriced = [due for due in found if due.is_unpriced]
    if unpriced:
        raise ValidationError(
            [_("%(what)s has no price yet.") % {"what": due.description} for due in unpriced]
        )
    if all(due.is_discount for due in found):
        raise ValidationError(_("%(name)s has nothing left to be charged.") % {"name": customer})
    promised = [due.quoted.is_tax_included for due in found if due.quoted is not None]
    included = any(promised) if promised else terms.prices_include_tax
    maker = _Maker(customer, terms, included)
    lines = [maker.line(due) for due in found if not due.is_discount]
    discounts = [due for due in found if due.is_discount]
    return DueParts(lines, [a for due in discounts for a in maker.discount(due, lines)], included)


class _Maker:
    """Lines for one customer, in one way of writing prices."""

    def __init__(self, customer: Customer, terms: Terms, included: bool) -> None:
        self.customer = customer
        self.included = included
        self.list_included = terms.prices_include_tax
        self.table = TaxTable(terms.scheme)
        self.places = exponent(business_get().currency)

    def line(self, due: DueCharge) -> DraftLine:
        day = due.entry.trackday.date
        taxes = self.table.on(due.tax_code, day, self.customer)
        return DraftLine(
            description=due.description,
            price=self.price(due, taxes),
            quantity=due.quantity,
            unit=due.unit,
            taxes=taxes,
            entry=due.entry,
            charge_key=due.key,
            item_code=due.item_code,
        )

    def price(self, due: DueCharge, taxes: Components) -> Decimal:
        """The price of the list or of a quote, as this document writes prices."""
        assert due.price is not None
        if due.quoted is not None:
            was_included, before = due.quoted.is_tax_included, due.quoted.taxes
        else:
            was_included = self.list_included
            before = self.table.on(due.tax_code, due.entry.trackday.date)
        if was_included and self.included:
            if _is_relieved(before) == _is_relieved(taxes):
                return due.price
            net = due.price / tax_factor(before)
            return self._cents(net * tax_factor(taxes))
        if was_included:
            return (due.price / tax_factor(before)).quantize(PRICE_STEP)
        return self._cents(due.price * tax_factor(taxes)) if self.included else due.price

    def _cents(self, price: Decimal) -> Decimal:
        return Decimal(to_minor(price, self.places)).scaleb(-self.places)

    def discount(self, due: DueCharge, lines: Sequence[DraftLine]) -> list[DraftAllowance]:
        """A discount comes off the entry's own lines, once for each tax they carry.

        A fixed sum is divided among the taxes in proportion to the lines, by largest remainder.
        """
        groups: dict[str, int] = defaultdict(int)
        taxes = {}
        for line in lines:
            if line.entry is not None and line.entry.pk == due.entry.pk:
                groups[repr(line.taxes)] += to_minor(line.quantity * line.price, self.places)
                taxes[repr(line.taxes)] = line.taxes
        whole = sum(groups.values())
        if whole <= 0:
            return []
        if due.percent is not None:
            parts = [to_minor(amount * due.percent / 100, 0) for amount in groups.values()]
        else:
            total = self._fixed(due)
            parts = apportion(
                total, [Fraction(total * amount, whole) for amount in groups.values()]
            )
        return [
            DraftAllowance(
                reason=due.description,
                amount_minor=part,
                taxes=taxes[key],
                entry=due.entry,
                charge_key=due.key,
            )
            for key, part in zip(groups, parts, strict=True)
            if part
        ]

    def _fixed(self, due: DueCharge) -> int:
        """A discount of a fixed sum; its own tax counts only where it has to be converted."""
        price = due.price or Decimal(0)
        if self.customer.tax_status or self.included != self.list_included:
            day = due.entry.trackday.date
            price = self.price(due, self.table.on(due.tax_code, day, self.customer))
        return to_minor(due.quantity * price, self.places)


def _is_relieved(taxes: Components) -> bool:
    return any(component["category"] in RELIEVED for component in taxes)
