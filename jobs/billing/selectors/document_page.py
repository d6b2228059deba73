"""A document as people read it: every figure written in its own language and currency.

Prepared once for the desk's page, the customer's page and the PDF.
"""

import datetime
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import segno
from babel import localedata
from babel.dates import format_date
from babel.numbers import format_decimal
from django.db.models import prefetch_related_objects
from django.utils.translation import gettext as _
from django.utils.translation import override

from jobs.people.countries import country_names

from ..enums import TAX_DOCUMENTS, DocumentKind, PriceUnit, Scheme
from ..models import Document, DocumentLine, DocumentTax
from ..money import Money, exponent, to_major
from ..payment_code import offered, payment_code

UNITS = dict(PriceUnit.choices)


@dataclass(frozen=True)
class LineRow:
    description: str
    code: str
    quantity: str
    price: str
    tax: str
    amount: str


@dataclass(frozen=True)
class BikeSection:
    """What belongs to one bike: who it is, what was done, its lines."""

    story: dict[str, Any] | None
    day: str
    lines: list[LineRow]


@dataclass(frozen=True)
class DocumentPage:
    document: Document
    title: str
    issued_on: str
    due_on: str
    delivered_on: str
    parts: list[BikeSection]
    allowances: list[tuple[str, str]]
    totals: list[tuple[str, str]]
    payable: str
    payable_words: str
    taxes: list[dict[str, str]]
    reasons: list[str]
    earlier: list[tuple[str, str]]
    code: segno.QRCode | None
    includes_tax: bool
    seller_country: str
    buyer_country: str

    @property
    def tax_id_words(self) -> str:
        return tax_id_words(self.document.scheme)

    @property
    def delivered_words(self) -> str:
        """What the day under the date is; on a bike that did not come no work was done."""
        if self.document.kind == DocumentKind.PREPAYMENT_INVOICE:
            return _("Payment received on")
        before = self.document.kind in (DocumentKind.QUOTE, DocumentKind.DEPOSIT_REQUEST)
        stories = [part.story for part in self.parts if part.story]
        nobody_came = bool(stories) and all(story.get("absence") for story in stories)
        return _("For the day") if before or nobody_came else _("Work done on")

    @property
    def reference(self) -> str:
        """In groups of four, as a bank form wants it typed."""
        plain = self.document.reference
        return " ".join(plain[i : i + 4] for i in range(0, len(plain), 4))

    @property
    def iban(self) -> str:
        plain = self.document.seller.get("iban", "").replace(" ", "")
        return " ".join(plain[i : i + 4] for i in range(0, len(plain), 4))

    @property
    def shows_how_to_pay(self) -> bool:
        """Whether the account, the reference and the payment code are printed."""
        asks = self.document.kind not in (DocumentKind.CREDIT_NOTE, DocumentKind.QUOTE)
        owed = asks and not self.document.is_draft and self.document.payable_minor > 0
        return bool(owed and self.iban)


def tax_id_words(scheme: str) -> str:
    """What the tax number of the business and of its customers is called."""
    return _("VAT ID") if scheme == Scheme.VAT else _("Tax number")


def document_page(document: Document) -> DocumentPage:
    """Four queries whatever the document's length. Words in the document's own language."""
    prefetch_related_objects([document], "lines", "allowances", "taxes")
    with override(document.language):
        formatted = _Formatter(document)
        return DocumentPage(
            document=document,
            title=str(document.get_kind_display()),
            issued_on=formatted.day(document.issued_on),
            due_on=formatted.day(document.due_on),
            delivered_on=formatted.day(document.delivered_on),
            parts=_parts(document, formatted),
            allowances=[
                (row.reason, formatted.money(-_shown(document, row.quoted_minor, row.amount_minor)))
                for row in document.allowances.all()
            ],
            totals=_totals(document, formatted),
            payable=formatted.money(abs(document.payable_minor)),
            payable_words=_payable_words(document),
            taxes=[_tax(row, formatted) for row in document.taxes.all() if row.category != "O"],
            reasons=[row.reason for row in document.taxes.all() if row.reason],
            earlier=_earlier(document, formatted),
            code=_code(document),
            includes_tax=document.prices_include_tax,
            seller_country=country_in(document.language, document.seller.get("country", "")),
            buyer_country=country_in(document.language, document.buyer.get("country", "")),
        )


def written_locale(language: str, country: str) -> str:
    """The document's language as it is written where the business is: en, IE -> en_IE."""
    base = language.replace("-", "_")
    local = f"{base}_{country.upper()}"
    return local if "_" not in base and localedata.exists(local) else base


def day_written(document: Document, day: datetime.date | None) -> str:
    """A day in the language of a document; empty where there is none."""
    return _Formatter(document).day(day)


class _Formatter:
    def __init__(self, document: Document) -> None:
        self.locale = written_locale(document.language, document.seller.get("country", ""))
        self.currency = document.currency

    def money(self, minor: int) -> str:
        return Money(minor, self.currency).text(self.locale)

    def price(self, price: Decimal) -> str:
        places = exponent(self.currency)
        if price == round(price, places):
            return format_decimal(price, format=f"#,##0.{'0' * places}", locale=self.locale)
        return format_decimal(price, format="#,##0.00####", locale=self.locale)

    def number(self, value: Decimal) -> str:
        return format_decimal(value, locale=self.locale, decimal_quantization=False)

    def day(self, day: datetime.date | None) -> str:
        return format_date(day, format="long", locale=self.locale) if day else ""


def country_in(language: str, code: str) -> str:
    """The country of an address, by its name in that language."""
    return country_names(language).get(code.upper(), code.upper())


def _shown(document: Document, quoted: int, net: int) -> int:
    return quoted if document.prices_include_tax else net


def _parts(document: Document, formatted: _Formatter) -> list[BikeSection]:
    """Lines under their bike; what belongs to none comes last."""
    by_entry: dict[int | None, list[LineRow]] = {part["entry"]: [] for part in document.story}
    for line in document.lines.all():
        key = line.entry_id if line.entry_id in by_entry else None
        by_entry.setdefault(key, []).append(_line(document, line, formatted))
    stories = {part["entry"]: part for part in document.story}
    parts = []
    for key, lines in by_entry.items():
        story = stories.get(key)
        day = formatted.day(datetime.date.fromisoformat(story["date"])) if story else ""
        parts.append(BikeSection(story, day, lines))
    return parts


def _line(document: Document, line: DocumentLine, formatted: _Formatter) -> LineRow:
    percents = [formatted.number(Decimal(c["percent"])) for c in line.taxes if c["category"] != "O"]
    unit = UNITS.get(line.unit, line.unit)
    return LineRow(
        description=line.description,
        code=line.item_code,
        quantity=f"{formatted.number(line.quantity)} {unit}"
        if line.unit != PriceUnit.PIECE
        else formatted.number(line.quantity),
        price=formatted.price(line.price),
        tax=" + ".join(f"{percent} %" for percent in percents),
        amount=formatted.money(_shown(document, line.quoted_minor, line.net_minor)),
    )


def _totals(document: Document, formatted: _Formatter) -> list[tuple[str, str]]:
    rows = []
    if document.allowances_minor:
        shown = document.lines_minor
        if not document.prices_include_tax:
            rows.append((_("Subtotal"), formatted.money(shown)))
            rows.append((_("Discount"), formatted.money(-document.allowances_minor)))
    if document.kind != DocumentKind.DEPOSIT_REQUEST and any(
        row.category != "O" for row in document.taxes.all()
    ):
        rows.append((_("Net"), formatted.money(document.net_minor)))
        rows += [
            (f"{row['name']} {row['percent']}".strip(), row["tax"])
            for row in (_tax(t, formatted) for t in document.taxes.all())
        ]
    if document.rounding_minor:
        rows.append((_("Rounding"), formatted.money(document.rounding_minor)))
    rows.append((_("Total"), formatted.money(document.total_minor)))
    if document.prepaid_minor:
        rows.append((_("Paid in advance"), formatted.money(-document.prepaid_minor)))
    return rows


def _tax(row: DocumentTax, formatted: _Formatter) -> dict[str, str]:
    return {
        "name": row.name or _("Tax"),
        "percent": f"{formatted.number(row.percent)} %",
        "taxable": formatted.money(row.taxable_minor),
        "tax": formatted.money(row.tax_minor),
    }


def _payable_words(document: Document) -> str:
    if document.payable_minor < 0:
        return _("To give back")
    words = {
        DocumentKind.QUOTE: _("Quoted total"),
        DocumentKind.CREDIT_NOTE: _("Credited to you"),
    }
    return words.get(DocumentKind(document.kind), _("To pay"))


def _earlier(document: Document, formatted: _Formatter) -> list[tuple[str, str]]:
    found = []
    if document.corrects:
        words = _("Corrects %(kind)s %(label)s of %(day)s")
        found.append((words, document.corrects))
    if document.follows:
        found.append((_("Follows %(kind)s %(label)s of %(day)s"), document.follows))
    return [
        (
            words
            % {
                "kind": other.get_kind_display().lower(),
                "label": other.label,
                "day": formatted.day(other.issued_on),
            },
            other.label,
        )
        for words, other in found
    ]


def _code(document: Document) -> segno.QRCode | None:
    iban = document.seller.get("iban", "").replace(" ", "")
    asks = document.kind in (DocumentKind.INVOICE, DocumentKind.DEPOSIT_REQUEST)
    if not asks or document.is_draft:
        return None
    if not offered(currency=document.currency, payable=document.payable_minor, iban=iban):
        return None
    return payment_code(
        name=document.seller["name"],
        iban=iban,
        amount=to_major(document.payable_minor, exponent(document.currency)),
        reference=document.reference,
    )


def is_tax_document(document: Document) -> bool:
    return document.kind in TAX_DOCUMENTS
