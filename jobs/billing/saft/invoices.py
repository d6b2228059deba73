"""The source documents: invoices, prepayment invoices and credit notes; payments.

What raises what customers owe is credit (the side it has on the sales account): a credit
note's lines, and lines that take something off, are debit. Its totals are below zero.
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from xml.etree.ElementTree import Element, SubElement

from ..arithmetic import Tax
from ..enums import TYPE_CODES, DocumentKind
from ..models import Document
from ..money import apportion
from ..selectors.prices import as_taxes
from .books import Books
from .elements import CODE, LONG, MIDDLE_1, MIDDLE_2, address, amount, money, number, text
from .payments import payments
from .tax_codes import tax_code, tax_type


@dataclass
class InvoiceRow:
    """A line or a discount of a document: signed minor units, and the tax that falls on it."""

    description: str
    code: str
    quantity: Decimal
    unit: str
    net: int
    taxes: list[tuple[Tax, int]]


def source_documents(books: Books) -> Element:
    group = Element("SourceDocuments")
    rows = {document.pk: _rows(document) for document in books.documents}
    nets = [row.net for of_one in rows.values() for row in of_one]
    sales = SubElement(group, "SalesInvoices")
    text(sales, "NumberOfEntries", len(rows))
    money(sales, "TotalDebit", -sum(net for net in nets if net < 0), books.places)
    money(sales, "TotalCredit", sum(net for net in nets if net > 0), books.places)
    for document in books.documents:
        _invoice(sales, document, rows[document.pk], books)
    group.append(payments(books))
    return group


def _sign(document: Document) -> int:
    return -1 if document.kind == DocumentKind.CREDIT_NOTE else 1


def _rows(document: Document) -> list[InvoiceRow]:
    """Lines and discounts; each tax of the document divided among those that carry it."""
    sign = _sign(document)
    found = [
        InvoiceRow(
            line.description, line.item_code, line.quantity, line.unit, sign * line.net_minor, []
        )
        for line in document.lines.all()
    ]
    found += [
        InvoiceRow(row.reason, "", Decimal(1), "C62", -sign * row.amount_minor, [])
        for row in document.allowances.all()
    ]
    carried = [as_taxes(line.taxes) for line in document.lines.all()]
    carried += [as_taxes(row.taxes) for row in document.allowances.all()]
    for stated in document.taxes.all():
        tax = Tax(stated.category, stated.percent, stated.name)
        own = [row for row, taxes in zip(found, carried, strict=True) if tax in taxes]
        shares = [Fraction(row.net) * Fraction(tax.percent) / 100 for row in own]
        parts = apportion(sign * stated.tax_minor, _adding_up(shares, sign * stated.tax_minor))
        for row, part in zip(own, parts, strict=True):
            row.taxes.append((tax, part))
    return found


def _adding_up(shares: list[Fraction], total: int) -> list[Fraction]:
    """The tax was rounded once: the first row takes the part of a cent that it is off by."""
    return [shares[0] + total - sum(shares), *shares[1:]] if shares else shares


def _invoice(sales: Element, document: Document, rows: list[InvoiceRow], books: Books) -> None:
    day = document.issued_on
    assert day is not None
    invoice = SubElement(sales, "Invoice")
    text(invoice, "InvoiceNo", document.label, MIDDLE_2)
    customer = SubElement(invoice, "CustomerInfo")
    text(customer, "CustomerID", document.buyer.get("id", ""), MIDDLE_1)
    text(customer, "Name", document.buyer.get("name", "") or "-", MIDDLE_2)
    address(customer, "BillingAddress", document.buyer)
    text(invoice, "AccountID", books.accounts["receivable"], MIDDLE_2)
    text(invoice, "Period", day.month)
    text(invoice, "PeriodYear", day.year)
    text(invoice, "InvoiceDate", day.isoformat())
    text(invoice, "InvoiceType", TYPE_CODES[DocumentKind(document.kind)], CODE)
    if document.due_on:
        text(invoice, "PaymentTerms", document.due_on.isoformat(), MIDDLE_2)
    text(invoice, "GLPostingDate", day.isoformat())
    text(invoice, "TransactionID", document.label, MIDDLE_2)
    for position, row in enumerate(rows, start=1):
        _line(invoice, document, position, row, books)
    sign = _sign(document)
    totals = SubElement(invoice, "InvoiceDocumentTotals")
    for stated in document.taxes.all():
        tax = Tax(stated.category, stated.percent, stated.name)
        base, part = sign * stated.taxable_minor, sign * stated.tax_minor
        _tax(totals, "TaxInformationTotals", document, tax, base, part, stated.reason, books)
    money(totals, "NetTotal", sign * document.net_minor, books.places)
    money(totals, "GrossTotal", sign * document.gross_minor, books.places)


def _line(
    invoice: Element, document: Document, position: int, row: InvoiceRow, books: Books
) -> None:
    part = SubElement(invoice, "InvoiceLine")
    text(part, "LineNumber", position)
    text(part, "AccountID", books.accounts["sales"], MIDDLE_2)
    text(part, "ProductCode", row.code, MIDDLE_2)
    text(part, "ProductDescription", row.description, LONG)
    number(part, "Quantity", row.quantity)
    text(part, "InvoiceUOM", row.unit, CODE)
    money(part, "UnitPrice", _unit_price(row), books.places)
    day = document.delivered_on or document.issued_on
    assert day is not None
    text(part, "TaxPointDate", day.isoformat())
    if document.corrects is not None:
        note = SubElement(SubElement(part, "References"), "CreditNote")
        text(note, "Reference", document.corrects.label, MIDDLE_1)
        text(note, "Reason", document.note)
    text(part, "Description", row.description or "-")
    amount(part, "InvoiceLineAmount", abs(row.net), books.places)
    text(part, "DebitCreditIndicator", "C" if row.net >= 0 else "D")
    for tax, minor in row.taxes:
        _tax(part, "TaxInformation", document, tax, row.net, minor, "", books)


def _unit_price(row: InvoiceRow) -> int:
    """Without tax, to the minor unit; the line's amount is what counts."""
    return round(Fraction(abs(row.net)) / abs(Fraction(row.quantity)))


def _tax(
    parent: Element,
    name: str,
    document: Document,
    tax: Tax,
    base: int,
    minor: int,
    reason: str,
    books: Books,
) -> None:
    part = SubElement(parent, name)
    text(part, "TaxType", tax_type(document.scheme), CODE)
    text(part, "TaxCode", tax_code(tax), CODE)
    number(part, "TaxPercentage", tax.percent)
    money(part, "TaxBase", base, books.places)
    amount(part, "TaxAmount", minor, books.places)
    text(part, "TaxExemptionReason", reason, MIDDLE_2)
