"""What came in, by day and by year, and the tax shown in a period."""

import datetime
from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Case, F, QuerySet, Sum, When
from django.db.models.functions import ExtractMonth

from ..enums import TAX_DOCUMENTS, DocumentKind, PaymentKind, PaymentMethod
from ..models import Document, DocumentTax, Payment
from .payments import with_signed_amount

# How money is received or paid out. Nothing is where it is moved or written off.
MONEY_METHODS = (
    PaymentMethod.CASH,
    PaymentMethod.CARD,
    PaymentMethod.TRANSFER,
    PaymentMethod.OTHER,
)


@dataclass(frozen=True)
class Takings:
    """One day or month: minor units by method, and their sum. Write-offs bring in nothing."""

    when: int | datetime.date
    by_method: dict[str, int]

    @property
    def total(self) -> int:
        return sum(self.by_method.values())

    @property
    def cells(self) -> list[int]:
        return [self.by_method.get(method, 0) for method in MONEY_METHODS]


def day_takings(day: datetime.date) -> tuple[Takings, list[Payment]]:
    """A day's takings by method, with the payments themselves, struck-through ones too."""
    payments = list(
        Payment.objects.filter(received_on=day).select_related("customer", "document", "by")
    )
    by_method: dict[str, int] = defaultdict(int)
    for payment in payments:
        if payment.withdrawn_at is None and _is_money(payment):
            by_method[payment.method] += payment.signed_minor
    return Takings(day, dict(by_method)), payments


def _is_money(payment: Payment) -> bool:
    return payment.method in MONEY_METHODS and payment.kind != PaymentKind.WRITE_OFF


def year_takings(year: int) -> list[Takings]:
    """Twelve months, each by method."""
    rows = (
        with_signed_amount(Payment.objects.filter(received_on__year=year, method__in=MONEY_METHODS))
        .exclude(kind=PaymentKind.WRITE_OFF)
        .annotate(month=ExtractMonth("received_on"))
        .order_by()
        .values("month", "method")
        .annotate(total=Sum("signed"))
    )
    months: dict[int, dict[str, int]] = {month: {} for month in range(1, 13)}
    for row in rows:
        months[row["month"]][row["method"]] = row["total"]
    return [Takings(month, methods) for month, methods in months.items()]


@dataclass(frozen=True)
class TaxLine:
    category: str
    percent: Decimal
    name: str
    taxable_minor: int
    tax_minor: int


def tax_report(since: datetime.date, until: datetime.date) -> list[TaxLine]:
    """Tax shown on documents issued in a period, credit notes taken off, by rate."""
    sign = Case(When(document__kind=DocumentKind.CREDIT_NOTE, then=-1), default=1)
    rows = (
        DocumentTax.objects.filter(
            document__kind__in=TAX_DOCUMENTS, document__issued_on__range=(since, until)
        )
        .order_by("category", "-percent", "name")
        .values("category", "percent", "name")
        .annotate(taxable=Sum(F("taxable_minor") * sign), tax=Sum(F("tax_minor") * sign))
    )
    return [
        TaxLine(row["category"], row["percent"], row["name"], row["taxable"], row["tax"])
        for row in rows
    ]


def documents_of(since: datetime.date, until: datetime.date) -> QuerySet[Document]:
    """Tax documents of a period in the order they were issued, with their parts."""
    return (
        Document.objects.filter(kind__in=TAX_DOCUMENTS, issued_on__range=(since, until))
        .select_related("series", "corrects", "follows")
        .prefetch_related("taxes", "lines", "allowances", "files")
        .order_by("issued_at", "pk")
    )
