"""What was paid, and what that leaves: every balance is derived here, none is stored."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import BigIntegerField, Case, F, OuterRef, Q, QuerySet, Subquery, Sum, When
from django.db.models.functions import Coalesce

from jobs.people.models import Customer

from ..enums import TAX_DOCUMENTS, DocumentKind, PaymentKind
from ..models import Document, Payment

ASKS_FOR_MONEY = (DocumentKind.INVOICE, DocumentKind.DEPOSIT_REQUEST)


def counted(payments: QuerySet[Payment]) -> QuerySet[Any]:
    """Payments that stand, with ``signed``: what each takes off the balance."""
    return payments.filter(withdrawn_at__isnull=True).annotate(
        signed=Case(
            When(kind=PaymentKind.REFUND, then=-F("amount_minor")),
            default=F("amount_minor"),
            output_field=BigIntegerField(),
        )
    )


def with_open(documents: QuerySet[Document]) -> QuerySet[Any]:
    """Documents with ``paid``, ``credited`` and ``open`` (what is still to pay), minor units."""
    paid = counted(Payment.objects.filter(document=OuterRef("pk"))).order_by().values("document")
    credit = (
        Document.objects.filter(corrects=OuterRef("pk"), number__isnull=False)
        .order_by()
        .values("corrects")
    )
    number = BigIntegerField()
    return documents.annotate(
        paid=Coalesce(Subquery(paid.annotate(s=Sum("signed")).values("s"), output_field=number), 0),
        credited=Coalesce(
            Subquery(
                credit.annotate(s=Sum(F("gross_minor") + F("rounding_minor"))).values("s"),
                output_field=number,
            ),
            0,
        ),
    ).annotate(open=F("payable_minor") - F("paid") - F("credited"))


def document_open(document: Document) -> int:
    """Minor units still to pay on one document; below nought it was overpaid."""
    return with_open(Document.objects.filter(pk=document.pk)).values_list("open", flat=True).get()


@dataclass(frozen=True)
class OpenItem:
    document: Document
    open_minor: int
    days_over: int  # below nought: not due yet

    @property
    def is_overdue(self) -> bool:
        return self.days_over > 0 and self.open_minor > 0


def _given_back() -> QuerySet[Any]:
    """Deposits that were refunded ask for nothing any more."""
    refunds = counted(Payment.objects.filter(kind=PaymentKind.REFUND, document__isnull=False))
    return refunds.values("document")


def open_items(today: datetime.date) -> list[OpenItem]:
    """Invoices not balanced and deposits still asked for, the longest overdue first."""
    rows = (
        with_open(Document.objects.filter(kind__in=ASKS_FOR_MONEY, number__isnull=False))
        .exclude(open=0)
        .exclude(kind=DocumentKind.DEPOSIT_REQUEST, followers__kind=DocumentKind.INVOICE)
        .exclude(kind=DocumentKind.DEPOSIT_REQUEST, open__lt=0)
        .exclude(kind=DocumentKind.DEPOSIT_REQUEST, pk__in=_given_back())
        .select_related("customer", "trackday__venue")
        .prefetch_related("reminders")
        .order_by("due_on", "pk")
    )
    return [OpenItem(row, row.open, (today - row.due_on).days if row.due_on else 0) for row in rows]


@dataclass(frozen=True)
class StatementLine:
    day: datetime.date
    what: str
    document: Document | None
    payment: Payment | None
    debit_minor: int
    credit_minor: int
    balance_minor: int


def statement(
    customer: Customer, *, since: datetime.date | None = None, until: datetime.date | None = None
) -> tuple[int, list[StatementLine]]:
    """(balance before ``since``, lines after it). Above nought the customer owes."""
    moves = sorted(_moves(customer), key=lambda move: move[:2])
    balance, before, lines = 0, 0, []
    for day, _order, what, document, payment, minor in moves:
        if until is not None and day > until:
            continue
        balance += minor
        if since is not None and day < since:
            before = balance
            continue
        lines.append(
            StatementLine(day, what, document, payment, max(minor, 0), max(-minor, 0), balance)
        )
    return before, lines


def _moves(customer: Customer) -> Iterable[tuple]:
    documents = Document.objects.filter(
        customer=customer, kind__in=TAX_DOCUMENTS, number__isnull=False
    )
    for document in documents:
        sign = -1 if document.kind == DocumentKind.CREDIT_NOTE else 1
        words = f"{document.get_kind_display()} {document.label}"
        order = f"1 {document.issued_at}"
        yield document.issued_on, order, words, document, None, sign * document.total_minor
    payments = Payment.objects.filter(customer=customer, withdrawn_at__isnull=True)
    for payment in payments.select_related("document"):
        words = payment.get_kind_display()
        if payment.kind != PaymentKind.WRITE_OFF:
            words = f"{words}, {payment.get_method_display()}"
        order = f"2 {payment.at}"
        yield payment.received_on, order, words, None, payment, -payment.signed_minor


def balance(customer: Customer) -> int:
    """Minor units the customer owes; below nought, what he has in credit."""
    asked = Document.objects.filter(
        customer=customer, kind__in=TAX_DOCUMENTS, number__isnull=False
    ).aggregate(
        owed=Sum(F("gross_minor") + F("rounding_minor"), filter=~Q(kind=DocumentKind.CREDIT_NOTE)),
        credited=Sum(
            F("gross_minor") + F("rounding_minor"), filter=Q(kind=DocumentKind.CREDIT_NOTE)
        ),
    )
    paid = counted(Payment.objects.filter(customer=customer)).aggregate(s=Sum("signed"))["s"]
    return (asked["owed"] or 0) - (asked["credited"] or 0) - (paid or 0)


def free_credit(customer: Customer) -> int:
    """Minor units paid without naming a document, not used or given back."""
    rows = counted(Payment.objects.filter(customer=customer, document__isnull=True))
    return rows.aggregate(s=Sum("signed"))["s"] or 0
