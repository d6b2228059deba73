"""Writing a draft: everything a document will show is copied onto its own rows here."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import translation
from django.utils.translation import gettext as _

from jobs.people.models import Business, Customer, User
from jobs.people.selectors import business_get
from jobs.trackday.models import Entry, Trackday

from .. import arithmetic
from ..enums import DocumentKind
from ..models import (
    Document,
    DocumentAllowance,
    DocumentLine,
    DocumentTax,
    Terms,
)
from ..money import exponent
from ..selectors.prices import as_taxes, component, terms_get
from ..tax_units import tax_unit
from .series import series_of

Components = list[dict[str, str]]


@dataclass(kw_only=True)
class DraftLine:
    """A line before the arithmetic: ``price`` in the document's own mode."""

    description: str
    price: Decimal
    taxes: Components
    quantity: Decimal = Decimal(1)
    unit: str = "C62"
    entry: Entry | None = None
    charge_key: str = ""
    item_code: str = ""
    credits: DocumentLine | None = None
    settles: Document | None = None


@dataclass(kw_only=True)
class DraftAllowance:
    """A discount, minor units in the document's own mode."""

    reason: str
    amount_minor: int
    taxes: Components
    entry: Entry | None = None
    charge_key: str = ""


@dataclass(kw_only=True)
class Draft:
    """All that a new document is made of."""

    kind: DocumentKind
    customer: Customer
    lines: Sequence[DraftLine]
    terms: Terms
    allowances: Sequence[DraftAllowance] = ()
    by: User | None = None
    trackday: Trackday | None = None
    corrects: Document | None = None
    follows: Document | None = None
    prepaid_minor: int = 0
    rounding_minor: int = 0
    scheme: str | None = None  # None: as the terms say now
    prices_include_tax: bool | None = None
    story: list[dict[str, Any]] = field(default_factory=list)
    note: str = ""
    terms_text: str = ""
    delivered_on: datetime.date | None = None

    @property
    def is_tax_included(self) -> bool:
        """Whether its prices include tax: its own word, else that of the terms."""
        own = self.prices_include_tax
        return self.terms.prices_include_tax if own is None else own


@transaction.atomic
def document_write(draft: Draft) -> Document:
    """Keep a draft with its lines, taxes and totals. Raises ValidationError in words."""
    business = business_get()
    if not business.name:
        raise ValidationError(_("Enter the business first: a document needs to say who sends it."))
    try:
        priced = _price(draft, business.currency)
    except ValueError as error:
        raise ValidationError(str(error)) from None
    with translation.override(draft.customer.language or business.language):
        document = _document(draft, business, priced.totals)
    _write_parts(document, draft, priced, exponent(business.currency))
    return document


def gross_of(draft: Draft) -> int:
    """What a draft comes to with its tax, before its rounding, unsaved."""
    return _price(draft, business_get().currency).totals.gross


def _price(draft: Draft, currency: str) -> arithmetic.Priced:
    return arithmetic.price(
        [_line(line) for line in draft.lines],
        [
            arithmetic.AllowanceOrCharge(amount=a.amount_minor, taxes=as_taxes(a.taxes))
            for a in draft.allowances
        ],
        places=exponent(currency),
        tax_unit=tax_unit(currency),
        prepaid=draft.prepaid_minor,
        rounding=draft.rounding_minor,
        tax_included=draft.is_tax_included,
    )


def _line(line: DraftLine) -> arithmetic.PricingLine:
    return arithmetic.PricingLine(
        quantity=line.quantity, price=line.price, taxes=as_taxes(line.taxes)
    )


def _document(draft: Draft, business: Business, totals: arithmetic.Totals) -> Document:
    return Document.objects.create(
        series=series_of(DocumentKind(draft.kind)),
        kind=draft.kind,
        customer=draft.customer,
        trackday=draft.trackday,
        corrects=draft.corrects,
        follows=draft.follows,
        currency=business.currency,
        language=draft.customer.language or business.language,
        scheme=draft.scheme or draft.terms.scheme,
        prices_include_tax=draft.is_tax_included,
        seller=seller_of(business, draft.terms),
        buyer=buyer_of(draft.customer, business),
        story=draft.story,
        note=draft.note,
        terms_text=draft.terms_text,
        delivered_on=draft.delivered_on or (draft.trackday.date if draft.trackday else None),
        lines_minor=totals.lines,
        allowances_minor=totals.allowances,
        charges_minor=totals.charges,
        net_minor=totals.net,
        tax_minor=totals.tax,
        gross_minor=totals.gross,
        prepaid_minor=totals.prepaid,
        rounding_minor=totals.rounding,
        payable_minor=totals.payable,
        drafted_by=draft.by,
    )


def seller_of(business: Business, terms: Terms) -> dict[str, str]:
    parts = ["name", "street", "postcode", "city", "country", "email", "phone", "tax_id", "iban"]
    return {part: getattr(business, part) for part in parts} | {"footer": terms.footer}


def buyer_of(customer: Customer, business: Business) -> dict[str, str]:
    parts = ["name", "street", "postcode", "city", "country", "email", "tax_id"]
    buyer = {part: getattr(customer, part) for part in parts}
    return buyer | {"country": customer.country or business.country, "id": str(customer.pk)}


def parties_renew(document: Document) -> None:
    """Give a draft its seller and buyer as they are now, unsaved.

    A credit note keeps the parties of the document it corrects.
    """
    if document.kind != DocumentKind.CREDIT_NOTE:
        business = business_get()
        document.seller = seller_of(business, terms_get())
        document.buyer = buyer_of(document.customer, business)


def has_address(party: Mapping[str, str]) -> bool:
    """An invoice names the full address of its buyer (Directive 2006/112/EC, article 226(5))."""
    return bool(party.get("street") and party.get("city"))


def _write_parts(document: Document, draft: Draft, priced: arithmetic.Priced, places: int) -> None:
    DocumentLine.objects.bulk_create(
        DocumentLine(
            document=document,
            position=position,
            entry=line.entry,
            charge_key=line.charge_key,
            item_code=line.item_code,
            description=line.description[:200],
            quantity=line.quantity,
            unit=line.unit,
            price=line.price,
            quoted_minor=_line(line).amount(places),
            net_price=done.price,
            net_base=done.base_quantity,
            allowance_minor=done.allowance,
            charge_minor=done.charge,
            net_minor=done.net,
            taxes=line.taxes,
            credits=line.credits,
            settles=line.settles,
        )
        for position, (line, done) in enumerate(
            zip(draft.lines, priced.lines, strict=True), start=1
        )
    )
    DocumentAllowance.objects.bulk_create(
        DocumentAllowance(
            document=document,
            position=position,
            entry=allowance.entry,
            charge_key=allowance.charge_key,
            reason=allowance.reason[:200],
            quoted_minor=allowance.amount_minor,
            amount_minor=done.amount,
            taxes=allowance.taxes,
        )
        for position, (allowance, done) in enumerate(
            zip(draft.allowances, priced.adjustments, strict=True), start=1
        )
    )
    reasons = _reasons([*draft.lines, *draft.allowances])
    DocumentTax.objects.bulk_create(
        DocumentTax(
            document=document,
            category=row.tax.category,
            percent=row.tax.percent,
            name=row.tax.name,
            reason=reasons.get((row.tax.category, row.tax.percent, row.tax.name), ""),
            taxable_minor=row.taxable,
            tax_minor=row.amount,
        )
        for row in priced.breakdowns
    )


def _reasons(
    parts: Sequence[DraftLine | DraftAllowance],
) -> dict[tuple[str, Decimal, str], str]:
    return {
        (c["category"], Decimal(c["percent"]), c["name"]): c["reason"]
        for part in parts
        for c in part.taxes
    }


def no_tax(reason: str) -> Components:
    """For what is no tax document: a deposit request."""
    return [component("O", "0", reason=reason)]
