"""Payments and refunds: money that came is credit on the customer's account, money given back
debit. What is written off brings nothing in: it stands in the journal alone."""

from xml.etree.ElementTree import Element, SubElement

from ..enums import DocumentKind, PaymentKind
from ..models import Payment
from ..selectors.journal import payment_number
from .books import Books
from .elements import MIDDLE_1, MIDDLE_2, SHORT, amount, money, text


def payments(books: Books) -> Element:
    rows = [one for one in books.payments if one.kind != PaymentKind.WRITE_OFF]
    group = Element("Payments")
    text(group, "NumberOfEntries", len(rows))
    signed = [one.signed_minor for one in rows]
    money(group, "TotalDebit", -sum(minor for minor in signed if minor < 0), books.places)
    money(group, "TotalCredit", sum(minor for minor in signed if minor > 0), books.places)
    for payment in rows:
        _payment(group, payment, books)
    return group


def _payment(group: Element, payment: Payment, books: Books) -> None:
    day = payment.received_on
    row = SubElement(group, "Payment")
    text(row, "PaymentRefNo", payment_number(payment), MIDDLE_1)
    text(row, "Period", day.month)
    text(row, "PeriodYear", day.year)
    text(row, "TransactionID", payment_number(payment), MIDDLE_2)
    text(row, "TransactionDate", day.isoformat())
    text(row, "PaymentMethod", payment.method, SHORT)
    text(row, "Description", f"{payment.get_kind_display()} {payment.customer.name}")
    line = SubElement(row, "PaymentLine")
    text(line, "LineNumber", 1)
    document = payment.document
    text(line, "SourceDocumentID", document.label if document else "", MIDDLE_1)
    is_deposit = document is not None and document.kind == DocumentKind.DEPOSIT_REQUEST
    account = "advances" if is_deposit else "receivable"
    text(line, "AccountID", books.accounts[account], MIDDLE_2)
    text(line, "CustomerID", payment.customer_id, MIDDLE_1)
    text(line, "DebitCreditIndicator", "C" if payment.signed_minor >= 0 else "D")
    amount(line, "PaymentLineAmount", payment.amount_minor, books.places)
    totals = SubElement(row, "PaymentDocumentTotals")
    money(totals, "NetTotal", payment.signed_minor, books.places)
    money(totals, "GrossTotal", payment.signed_minor, books.places)
