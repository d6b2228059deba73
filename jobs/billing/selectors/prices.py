"""The price list, the terms, and the taxes that lie on a kind of thing on a day."""

import datetime
from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from jobs.people.enums import TaxStatus
from jobs.people.models import Customer

from ..arithmetic import Tax, Taxes
from ..enums import DocumentKind, PriceKind, Scheme, TaxCategory
from ..models import Charge, PriceItem, TaxRate, Terms


def terms_get() -> Terms:
    """The one row; before anybody saved it, its defaults."""
    return Terms.objects.select_related("travel").first() or Terms()


def days_to_pay(kind: str) -> int:
    """How many days after its issue a document is due, or a quote valid. One query."""
    terms = terms_get()
    if kind == DocumentKind.QUOTE:
        return terms.quote_days
    return 0 if kind == DocumentKind.CREDIT_NOTE else terms.payment_days


def price_list(*, active_only: bool = False) -> list[PriceItem]:
    """In the order a customer would ask: packages first, discounts last."""
    items = PriceItem.objects.select_related("package")
    found = items.filter(active=True) if active_only else items
    kinds = {kind: place for place, kind in enumerate(PriceKind.values)}
    return sorted(found, key=lambda item: (kinds[item.kind], item.order, item.name))


class TaxTable:
    """Every rate, read once, asked by code and day."""

    def __init__(self, scheme: str) -> None:
        self.scheme = scheme
        self._rates: dict[str, list[TaxRate]] = defaultdict(list)
        if scheme != Scheme.NOT_REGISTERED:
            for rate in TaxRate.objects.all():
                self._rates[rate.code].append(rate)

    def on(
        self, code: str, day: datetime.date, customer: Customer | None = None
    ) -> list[dict[str, str]]:
        """The components as they are frozen onto a line, on the day of supply.

        What is taxed is not where the customer's status says so. Raises ValidationError
        where no rate is valid that day, or several for VAT.
        """
        if self.scheme == Scheme.NOT_REGISTERED:
            return [component(TaxCategory.OUTSIDE, "0", reason=_("Not registered for tax"))]
        valid = [
            rate
            for rate in self._rates[code]
            if rate.valid_from <= day and (rate.valid_to is None or day <= rate.valid_to)
        ]
        if not valid:
            raise ValidationError(
                _("No tax rate “%(code)s” is valid on %(day)s: add one to the tax rates.")
                % {"code": code, "day": day}
            )
        if self.scheme == Scheme.VAT and len(valid) > 1:
            raise ValidationError(
                _("Two tax rates “%(code)s” are valid on %(day)s; VAT knows one: end the older.")
                % {"code": code, "day": day}
            )
        usual = [
            component(rate.category, f"{rate.percent.normalize():f}", rate.name, rate.exemption)
            for rate in valid
        ]
        return self._relieved(usual, customer) or usual

    def _relieved(
        self, usual: list[dict[str, str]], customer: Customer | None
    ) -> list[dict[str, str]]:
        taxed = [c for c in usual if c["category"] == TaxCategory.STANDARD]
        if customer is None or not taxed:
            return []
        if customer.tax_status == TaxStatus.REVERSE and self.scheme == Scheme.VAT:
            return [component(TaxCategory.REVERSE, "0", taxed[0]["name"], _("Reverse charge"))]
        if customer.tax_status == TaxStatus.EXEMPT:
            return [
                component(TaxCategory.EXEMPT, "0", taxed[0]["name"], customer.tax_reason),
            ]
        return []


def tax_factor(components: Iterable[dict[str, str]]) -> Decimal:
    """What a price without tax is multiplied by for the price with it."""
    return 1 + sum((Decimal(c["percent"]) for c in components), Decimal(0)) / 100


def component(category: str, percent: str, name: str = "", reason: str = "") -> dict[str, str]:
    return {"category": str(category), "percent": percent, "name": name, "reason": str(reason)}


def as_taxes(components: Iterable[dict[str, str]]) -> Taxes:
    """Frozen components as the arithmetic wants them."""
    return tuple(Tax(c["category"], Decimal(c["percent"]), c["name"]) for c in components)


def item_of_kind(items: Iterable[PriceItem], kind: PriceKind) -> PriceItem | None:
    """The first active item of a kind, in the list's own order."""
    return next((item for item in items if item.kind == kind and item.active), None)


def price_item_is_charged(item: PriceItem) -> bool:
    """Whether somebody was charged this line by hand: then it stays on the list."""
    return Charge.objects.filter(item=item).exists()
