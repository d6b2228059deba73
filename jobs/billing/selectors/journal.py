"""The accountant's journal: balanced lines for every document and payment of a period.

RFC 4180 CSV. Columns are named after the OECD's Standard Audit File for Tax, SAF-T 2.00
(TransactionDate, SourceDocumentID, AccountID, DebitAmount, CreditAmount, TaxCode, ...).
"""

import csv
import datetime
import io
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet

from jobs.people.models import Customer
from jobs.tables.formula_cells import cell_for_people

from ..enums import DocumentKind, PaymentKind, PaymentMethod
from ..models import Allocation, Document, DocumentTax, Payment
from ..money import exponent, to_major
from .ledger import STANDS
from .prices import terms_get
from .takings import documents_of

COLUMNS = (
    "TransactionDate", "SourceDocumentID", "AccountID", "DebitAmount", "CreditAmount",
    "TaxCode", "TaxBase", "CurrencyCode", "CustomerID", "DueDate", "Description",
)  # fmt: skip


SALES, CASH, GENERAL = "SALES", "CASH", "GENERAL"


@dataclass(frozen=True)
class JournalLine:
    """``transaction`` names the lines that balance, ``journal`` which book they belong to."""

    day: datetime.date
    journal: str
    transaction: str
    source: str
    account: str
    debit_minor: int
    currency: str
    customer: str
    tax_code: str = ""
    taxable_minor: int | None = None
    due: datetime.date | None = None
    words: str = ""

    def row(self) -> list[str]:
        places = exponent(self.currency)
        debit, credit = max(self.debit_minor, 0), max(-self.debit_minor, 0)
        taxable = "" if self.taxable_minor is None else str(to_major(self.taxable_minor, places))
        return [
            self.day.isoformat(),
            self.source,
            str(cell_for_people(self.account)),
            f"{to_major(debit, places)}" if debit else "",
            f"{to_major(credit, places)}" if credit else "",
            self.tax_code,
            taxable,
            self.currency,
            self.customer,
            self.due.isoformat() if self.due else "",
            str(cell_for_people(self.words)),
        ]


def journal(since: datetime.date, until: datetime.date) -> list[JournalLine]:
    """Every transaction of the period adds up to zero; lines of zero are left out."""
    accounts = account_numbers()
    lines = [line for d in documents_of(since, until) for line in _document(d, accounts)]
    lines += [line for p in payments_of(since, until) for line in _payment(p, accounts)]
    moved = Allocation.objects.filter(STANDS, pair__isnull=False, day__range=(since, until))
    for row in moved.select_related("document__customer", "pair__document__customer", "customer"):
        lines += _move(row, accounts)
    return [line for line in sorted(lines, key=lambda line: line.day) if line.debit_minor]


def account_numbers() -> dict[str, str]:
    """The accountant's numbers; an account without one stands under its name."""
    return {name: number or name for name, number in terms_get().accounts.items()}


def payments_of(since: datetime.date, until: datetime.date) -> QuerySet[Payment]:
    """Payments, refunds and write-offs of a period that are not struck through."""
    return (
        Payment.objects.filter(withdrawn_at__isnull=True, received_on__range=(since, until))
        .exclude(method=PaymentMethod.MOVED)
        .select_related("document", "customer")
    )


def payment_number(payment: Payment) -> str:
    return payment.pk.hex


def journal_csv(since: datetime.date, until: datetime.date) -> str:
    written = io.StringIO(newline="")
    writer = csv.writer(written, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    writer.writerows(line.row() for line in journal(since, until))
    return written.getvalue()


def _document(document: Document, accounts: dict[str, str]) -> Iterable[JournalLine]:
    sign = -1 if document.kind == DocumentKind.CREDIT_NOTE else 1

    def line(account: str, debit: int, **more: Any) -> JournalLine:
        return JournalLine(
            day=document.issued_on or datetime.date.min,
            journal=SALES,
            transaction=document.label,
            source=document.label,
            account=accounts[account],
            debit_minor=sign * debit,
            currency=document.currency,
            customer=document.buyer.get("id", ""),
            words=f"{document.get_kind_display()} {document.buyer['name']}",
            **more,
        )

    yield line("receivable", document.total_minor, due=document.due_on)
    taxes = list(document.taxes.all())
    if sum(tax.taxable_minor for tax in taxes) == document.net_minor:
        for tax in taxes:
            yield line("sales", -tax.taxable_minor, tax_code=tax_code_of(tax))
    else:  # several components on one line: the net counts once
        yield line("sales", -document.net_minor)
    for tax in taxes:
        yield line(
            "tax", -tax.tax_minor, tax_code=tax_code_of(tax), taxable_minor=sign * tax.taxable_minor
        )
    yield line("rounding", -document.rounding_minor)


def tax_code_of(tax: DocumentTax) -> str:
    percent = f"{tax.percent.normalize():f}"
    return " ".join(part for part in (tax.category, percent, tax.name) if part)


def _payment(payment: Payment, accounts: dict[str, str]) -> Iterable[JournalLine]:
    into = "cash" if payment.method == PaymentMethod.CASH else "bank"
    if payment.kind == PaymentKind.WRITE_OFF:
        into = "written_off"
    for_deposit = payment.document is not None and _is_deposit(payment.document)
    against = "advances" if for_deposit else "receivable"
    source = payment.document.label if payment.document else str(payment.pk)[:8]
    for account, debit in ((into, payment.signed_minor), (against, -payment.signed_minor)):
        yield JournalLine(
            day=payment.received_on,
            journal=GENERAL if payment.kind == PaymentKind.WRITE_OFF else CASH,
            transaction=payment_number(payment),
            source=source,
            account=accounts[account],
            debit_minor=debit,
            currency=payment.currency,
            customer=str(payment.customer_id),
            words=f"{payment.get_kind_display()} {payment.customer.name}",
        )


def _move(row: Allocation, accounts: dict[str, str]) -> Iterable[JournalLine]:
    """A deposit taken into account is an advance no longer; given back to it, one again."""
    pair = row.pair
    assert pair is not None
    onto, off = _account_of(row), _account_of(pair)
    if onto == off:
        return
    document = next((d for d in (row.document, pair.document) if d and not _is_deposit(d)), None)
    document = document or row.document or pair.document
    assert document is not None  # money moves between a document and the account
    for (account, customer), signed in ((onto, row.amount_minor), (off, pair.amount_minor)):
        yield JournalLine(
            day=row.day,
            journal=GENERAL,
            transaction=f"move-{row.pk}",
            source=document.label,
            account=accounts[account],
            debit_minor=-signed,
            currency=document.currency,
            customer=str(customer.pk),
            words=f"{row.get_reason_display()} {customer.name}",
        )


def _is_deposit(document: Document) -> bool:
    return document.kind == DocumentKind.DEPOSIT_REQUEST


def _account_of(row: Allocation) -> tuple[str, Customer]:
    """Whose account a row stands on, and which one."""
    if row.document is None:
        return "receivable", row.customer
    return "advances" if _is_deposit(row.document) else "receivable", row.document.customer
