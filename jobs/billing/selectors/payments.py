"""What was paid, and what is still open: every balance is derived here, none is stored."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, NamedTuple

from django.db.models import (
    BigIntegerField,
    Case,
    Exists,
    F,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Sum,
    When,
)
from django.db.models.functions import Coalesce, Greatest
from django.utils.translation import gettext as _

from jobs.people.models import Customer
from jobs.people.selectors import same_person

from ..enums import TAX_DOCUMENTS, AllocationReason, DocumentKind, PaymentKind
from ..models import Allocation, Document, DocumentLine, Payment
from .ledger import STANDS, WORTH, standing_invoices, standing_on

OWED = (DocumentKind.INVOICE, DocumentKind.PREPAYMENT_INVOICE)
BALANCED = (*OWED, DocumentKind.DEPOSIT_REQUEST)


def with_signed_amount(payments: QuerySet[Payment]) -> QuerySet[Any]:
    """Payments that stand, with ``signed``: what each takes off the balance."""
    return payments.filter(withdrawn_at__isnull=True).annotate(
        signed=Case(
            When(kind=PaymentKind.REFUND, then=-F("amount_minor")),
            default=F("amount_minor"),
            output_field=BigIntegerField(),
        )
    )


def with_open(documents: QuerySet[Document]) -> QuerySet[Any]:
    """Documents with ``open`` (what is still to pay) and ``held``, minor units.

    ``held`` is what stands at a deposit request. It asks for nothing more once an invoice has
    taken its place, or once money of it was given back or kept as credit.
    """
    here = Allocation.objects.filter(document=OuterRef("pk"))
    by_hand = here.filter(STANDS).exclude(reason=AllocationReason.TAKEN)
    return documents.annotate(
        held=_summed(here),
        received=_summed(by_hand.filter(amount_minor__gt=0)),
    ).annotate(
        open=Case(
            When(
                Q(kind=DocumentKind.DEPOSIT_REQUEST)
                & (_replaced() | Exists(by_hand.filter(amount_minor__lt=0))),
                then=0,
            ),
            When(
                kind=DocumentKind.DEPOSIT_REQUEST,
                then=Greatest(F("payable_minor") - F("received"), 0),
            ),
            default=WORTH - F("held"),
            output_field=BigIntegerField(),
        )
    )


def _replaced() -> Exists:
    """Whether a standing invoice of what a deposit was asked for has taken its place."""
    asked = DocumentLine.objects.filter(document=OuterRef(OuterRef("follows")))
    return Exists(standing_invoices().filter(lines__entry__in=asked.values("entry")))


def _summed(rows: QuerySet[Allocation]) -> Coalesce:
    """The sum of a subquery's rows of one document."""
    total = rows.order_by().values("document").annotate(s=Sum("amount_minor")).values("s")
    return Coalesce(Subquery(total, output_field=BigIntegerField()), 0)


def document_open(document: Document) -> int:
    """Minor units still to pay on one document; below zero too much was paid."""
    found = with_open(Document.objects.filter(pk=document.pk)).values_list("open", flat=True)
    minor: int = found.get()
    return minor


@dataclass(frozen=True)
class OpenItem:
    document: Document
    open_minor: int
    days_over: int  # below zero: not due yet

    @property
    def is_overdue(self) -> bool:
        return self.days_over > 0 and self.open_minor > 0


def open_items(today: datetime.date) -> list[OpenItem]:
    """Invoices not balanced and deposits still asked for, the longest overdue first."""
    rows = (
        with_open(Document.objects.filter(kind__in=BALANCED, number__isnull=False))
        .exclude(open=0)
        .select_related("customer", "trackday__venue")
        .prefetch_related("reminders")
        .order_by("due_on", "pk")
    )
    return [OpenItem(row, row.open, (today - row.due_on).days if row.due_on else 0) for row in rows]


@dataclass(frozen=True)
class UnusedMoney:
    """Money of a customer that nothing stands against: on account, or a deposit's rest."""

    customer: Customer
    deposit: Document | None
    minor: int


def unused_money() -> list[UnusedMoney]:
    """On account by customer, and what is left of deposits whose invoice is issued."""
    accounts = (
        Customer.objects.filter(allocations__document__isnull=True)
        .annotate(free=Sum("allocations__amount_minor"))
        .exclude(free=0)
        .order_by("name", "pk")
    )
    deposits = (
        with_open(Document.objects.filter(kind=DocumentKind.DEPOSIT_REQUEST))
        .filter(_replaced())
        .exclude(held=0)
        .select_related("customer")
        .order_by("pk")
    )
    return [UnusedMoney(one, None, one.free) for one in accounts] + [
        UnusedMoney(one.customer, one, one.held) for one in deposits
    ]


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
    """(balance before ``since``, lines after it). Above zero the customer owes."""
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


class AccountMove(NamedTuple):
    """One document or payment of a customer's account; ``order`` sorts within a day."""

    day: datetime.date
    order: str
    words: str
    document: Document | None
    payment: Payment | None
    minor: int  # above zero the customer owes more


def _moves(customer: Customer) -> Iterable[AccountMove]:
    people = same_person(customer)
    documents = Document.objects.filter(
        customer__in=people, kind__in=TAX_DOCUMENTS, number__isnull=False
    )
    for document in documents:
        sign = -1 if document.kind == DocumentKind.CREDIT_NOTE else 1
        words = f"{document.get_kind_display()} {document.label}"
        order = f"1 {document.issued_at}"
        assert document.issued_on is not None  # a check of the table: it has a number
        minor = sign * document.total_minor
        yield AccountMove(document.issued_on, order, words, document, None, minor)
    payments = Payment.objects.filter(customer__in=people, withdrawn_at__isnull=True)
    for payment in payments.select_related("document"):
        words = payment.get_kind_display()
        if payment.kind != PaymentKind.WRITE_OFF:
            words = f"{words}, {payment.get_method_display()}"
        order = f"2 {payment.at}"
        yield AccountMove(payment.received_on, order, words, None, payment, -payment.signed_minor)
    yield from _across(people)


def _across(people: QuerySet[Customer]) -> Iterable[AccountMove]:
    """Deposits that one person paid and another's document took into account."""
    rows = Allocation.objects.filter(document__isnull=False).select_related("document")
    for row in rows.filter(customer__in=people).exclude(document__customer__in=people):
        assert row.document is not None
        words = _("used for %(label)s of somebody else") % {"label": row.document.label}
        yield AccountMove(row.day, f"3 {row.at}", words, None, None, row.amount_minor)
    for row in rows.exclude(customer__in=people).filter(document__customer__in=people):
        words = _("deposit paid by somebody else")
        yield AccountMove(row.day, f"3 {row.at}", words, None, None, -row.amount_minor)


def balance(customer: Customer) -> int:
    """Minor units the customer owes, all their rows together; below zero, what they have in credit.

    What their invoices come to, less all that stands at their documents or on their account.
    """
    people = same_person(customer)
    owed = (
        Document.objects.filter(customer__in=people, kind__in=OWED, number__isnull=False)
        .aggregate(total=Sum(WORTH))
    )["total"] or 0  # fmt: skip
    theirs = Q(document__customer__in=people) | Q(document__isnull=True, customer__in=people)
    return owed - standing_on(Allocation.objects.filter(theirs))


def same_entered(
    *,
    customer: Customer,
    document: Document | None,
    kind: str,
    amount_minor: int,
    received_on: datetime.date,
    method: str,
) -> Payment | None:
    """A payment entered before that is just like this one: is it entered twice?"""
    return Payment.objects.filter(
        customer=customer,
        document=document,
        kind=kind,
        amount_minor=amount_minor,
        received_on=received_on,
        method=method,
        withdrawn_at__isnull=True,
    ).first()
