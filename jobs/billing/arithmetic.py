"""The arithmetic of an invoice after EN 16931-1:2017, exact.

Rounded once per line and once per tax category and rate, a half away from zero. Amounts are
whole minor units, prices and quantities Decimals in major units. Term numbers (BT-...) and
rule names (BR-...) are the standard's. Nothing here knows Django.

Prices that include tax: per group of equal taxes the net is the quoted gross without its
tax, rounded once and divided among the lines by largest remainder. About one gross amount in
six is not the sum of a net amount and its rounded tax; the difference becomes the rounding
amount (BT-114), so what is payable is what was quoted.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from .money import apportion, to_major, to_minor


@dataclass(frozen=True)
class Tax:
    """One component: UNCL5305 category, percent, and whose tax it is where there are several."""

    category: str
    percent: Decimal
    name: str = ""

    def of(self, taxable: int, unit: int = 1) -> int:
        """Minor units of tax on ``taxable`` minor units (BR-CO-17), in steps of ``unit``."""
        return to_minor(taxable * self.percent / 100 / unit, 0) * unit


Taxes = tuple[Tax, ...]


@dataclass(frozen=True, kw_only=True)
class PricingLine:
    """What is sold: ``quantity`` times ``price`` per ``base_quantity``.

    ``allowance`` and ``charge`` are minor units on the whole line. All of price, allowance
    and charge are net or all tax-included, as the document says.
    """

    quantity: Decimal
    price: Decimal
    taxes: Taxes
    base_quantity: Decimal = Decimal(1)
    allowance: int = 0
    charge: int = 0

    def amount(self, places: int) -> int:
        """Minor units after the line's own allowance and charge (BT-131 when net)."""
        product = to_minor(self.quantity * self.price / self.base_quantity, places)
        return product - self.allowance + self.charge


@dataclass(frozen=True, kw_only=True)
class AllowanceOrCharge:
    """An allowance (or a charge) on the whole document: minor units, never negative."""

    amount: int
    taxes: Taxes
    is_charge: bool = False

    @property
    def signed(self) -> int:
        return self.amount if self.is_charge else -self.amount


@dataclass(frozen=True)
class PricedLine:
    """A line in net terms: net = quantity x price / base quantity - allowance + charge."""

    net: int
    price: Decimal
    base_quantity: Decimal
    allowance: int
    charge: int


@dataclass(frozen=True)
class Breakdown:
    """Taxable amount and tax of one category and rate (BG-23)."""

    tax: Tax
    taxable: int
    amount: int


@dataclass(frozen=True)
class Totals:
    """BT-106 to BT-115, minor units."""

    lines: int
    allowances: int
    charges: int
    net: int
    tax: int
    gross: int
    prepaid: int
    rounding: int
    payable: int


@dataclass(frozen=True)
class Priced:
    lines: tuple[PricedLine, ...]
    adjustments: tuple[AllowanceOrCharge, ...]
    breakdowns: tuple[Breakdown, ...]
    totals: Totals


def price(
    lines: Sequence[PricingLine],
    adjustments: Sequence[AllowanceOrCharge] = (),
    *,
    places: int = 2,
    prepaid: int = 0,
    rounding: int = 0,
    tax_included: bool = False,
    tax_unit: int = 1,
) -> Priced:
    """The whole document. ``rounding`` is given by hand for net prices, derived for gross ones.

    ``tax_unit``: the minor units that tax is rounded to (``tax_units``).

    Raises ValueError where the standard forbids what was asked: no line, a negative price
    (BR-27), a base quantity that is not positive, a negative document allowance.
    """
    _refuse(lines, adjustments)
    quoted = None
    if tax_included:
        quoted = sum(line.amount(places) for line in lines) + sum(a.signed for a in adjustments)
        priced, adjustments = _without_tax(lines, adjustments, places, tax_unit)
    else:
        priced = [
            PricedLine(
                line.amount(places), line.price, line.base_quantity, line.allowance, line.charge
            )
            for line in lines
        ]
    breakdowns = _breakdowns(
        [(line.taxes, done.net) for line, done in zip(lines, priced, strict=True)]
        + [(adjustment.taxes, adjustment.signed) for adjustment in adjustments],
        tax_unit,
    )
    totals = _totals(priced, adjustments, breakdowns, prepaid, rounding, quoted)
    return Priced(tuple(priced), tuple(adjustments), breakdowns, totals)


def _refuse(lines: Sequence[PricingLine], adjustments: Sequence[AllowanceOrCharge]) -> None:
    if not lines:
        raise ValueError("a document needs at least one line (BR-16)")
    for number, line in enumerate(lines, start=1):
        if line.price < 0:
            raise ValueError(f"line {number}: a price is never negative, a quantity may be (BR-27)")
        if not line.quantity:
            raise ValueError(f"line {number}: a quantity of zero sells nothing")
        if line.base_quantity <= 0:
            raise ValueError(f"line {number}: a price is for more than nothing")
        if not line.taxes:
            raise ValueError(f"line {number}: no tax category (BR-CO-4)")
    if any(adjustment.amount < 0 for adjustment in adjustments):
        raise ValueError("a discount is a positive amount; it is the sign that takes it off")


def _without_tax(
    lines: Sequence[PricingLine],
    adjustments: Sequence[AllowanceOrCharge],
    places: int,
    tax_unit: int,
) -> tuple[list[PricedLine], list[AllowanceOrCharge]]:
    """Gross to net, group by group of equal taxes, so that each group is rounded once.

    Where tax is in whole units and so is every price, the net amounts are too.
    """
    gross = [line.amount(places) for line in lines] + [a.signed for a in adjustments]
    groups: dict[Taxes, list[int]] = defaultdict(list)
    parts: list[PricingLine | AllowanceOrCharge] = [*lines, *adjustments]
    for i, part in enumerate(parts):
        groups[part.taxes].append(i)
    net = list(gross)
    for taxes, members in groups.items():
        step = 1 if any(gross[i] % tax_unit for i in members) else tax_unit
        exact = [gross[i] / _with_tax(taxes) / step for i in members]
        quoted = sum(gross[i] for i in members)
        total = to_minor(quoted / _as_decimal(_with_tax(taxes)) / step, 0)
        for i, share in zip(members, apportion(total, exact), strict=True):
            net[i] = share * step
    priced = [_net_line(line, net[i], places) for i, line in enumerate(lines)]
    reduced = [
        AllowanceOrCharge(amount=abs(net[len(lines) + i]), taxes=a.taxes, is_charge=a.is_charge)
        for i, a in enumerate(adjustments)
    ]
    return priced, reduced


def _with_tax(taxes: Taxes) -> Fraction:
    return 1 + Fraction(sum(tax.percent for tax in taxes)) / 100


def _as_decimal(value: Fraction) -> Decimal:
    return Decimal(value.numerator) / Decimal(value.denominator)


def _net_line(line: PricingLine, net: int, places: int) -> PricedLine:
    """State a net line so that quantity x price / base is exact: the price of the whole lot.

    The price of one piece without its tax has no end of decimals; the price of the quantity
    sold has as many as the currency. An item price has a base quantity for that (BT-149).
    """
    factor = _as_decimal(_with_tax(line.taxes))
    charge = to_minor(line.charge / factor, 0)
    sign = 1 if line.quantity > 0 else -1
    whole = sign * (net + to_minor(line.allowance / factor, 0) - charge)
    whole = sign * max(whole, 0)
    # Three rounded amounts need not add up: the allowance takes the difference of one unit.
    allowance = whole - net + charge
    if allowance < 0:
        allowance, charge = 0, charge - allowance
    return PricedLine(net, to_major(abs(whole), places), abs(line.quantity), allowance, charge)


def _breakdowns(parts: Iterable[tuple[Taxes, int]], tax_unit: int) -> tuple[Breakdown, ...]:
    taxable: dict[Tax, int] = defaultdict(int)
    for taxes, net in parts:
        for tax in taxes:
            taxable[tax] += net
    return tuple(
        Breakdown(tax, base, tax.of(base, tax_unit))
        for tax, base in sorted(
            taxable.items(), key=lambda item: (item[0].category, -item[0].percent, item[0].name)
        )
    )


def _totals(
    lines: Sequence[PricedLine],
    adjustments: Sequence[AllowanceOrCharge],
    breakdowns: Sequence[Breakdown],
    prepaid: int,
    rounding: int,
    quoted: int | None,
) -> Totals:
    line_sum = sum(line.net for line in lines)
    allowances = sum(a.amount for a in adjustments if not a.is_charge)
    charges = sum(a.amount for a in adjustments if a.is_charge)
    net = line_sum - allowances + charges
    tax = sum(b.amount for b in breakdowns)
    gross = net + tax
    if quoted is not None:
        rounding = quoted - gross
    payable = gross - prepaid + rounding
    return Totals(line_sum, allowances, charges, net, tax, gross, prepaid, rounding, payable)
