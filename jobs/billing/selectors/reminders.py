"""Reminder letters: what is overdue, one letter a customer, first, second or last."""

import datetime
import zoneinfo
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from jobs.people.models import Customer
from jobs.people.selectors import business_get

from ..enums import DocumentKind, ReminderLevel
from ..models import Document
from .payments import OWED, with_open
from .prices import terms_get


@dataclass(frozen=True)
class ReminderLetter:
    """One letter: the overdue documents of a customer. ``waits_until``: reminded lately."""

    customer: Customer
    documents: list[Any]  # with ``open``
    level: ReminderLevel
    waits_until: datetime.date | None

    @property
    def open_minor(self) -> int:
        return sum(document.open for document in self.documents)

    @property
    def to(self) -> str:
        """The address the customer has now; that of the documents may be old."""
        return self.customer.email


def letters(today: datetime.date) -> list[ReminderLetter]:
    """For everybody with overdue invoices, the longest overdue first."""
    overdue = Document.objects.filter(kind__in=OWED, number__isnull=False, due_on__lt=today)
    return _by_customer(overdue, today)


def letter_about(document: Document, today: datetime.date) -> ReminderLetter | None:
    """The letter about one document; None where nothing of it is overdue."""
    kinds = (*OWED, DocumentKind.DEPOSIT_REQUEST)
    one = Document.objects.filter(
        pk=document.pk, kind__in=kinds, number__isnull=False, due_on__lt=today
    )
    return next(iter(_by_customer(one, today)), None)


def _by_customer(documents: Any, today: datetime.date) -> list[ReminderLetter]:
    rows = (
        with_open(documents)
        .filter(open__gt=0)
        .select_related("customer")
        .prefetch_related("reminders")
        .order_by("due_on", "pk")
    )
    grouped: dict[Customer, list[Any]] = defaultdict(list)
    for row in rows:
        grouped[row.customer].append(row)
    gap = datetime.timedelta(days=terms_get().reminder_days)
    zone = zoneinfo.ZoneInfo(business_get().timezone)
    return [
        ReminderLetter(customer, found, _level(found), _waits(found, gap, today, zone))
        for customer, found in grouped.items()
    ]


def _level(documents: Iterable[Any]) -> ReminderLevel:
    """By the document that was reminded most often: once before makes this the second."""
    before = max(len(document.reminders.all()) for document in documents)
    return (ReminderLevel.FIRST, ReminderLevel.SECOND, ReminderLevel.LAST)[min(before, 2)]


def _waits(
    documents: Iterable[Any],
    gap: datetime.timedelta,
    today: datetime.date,
    zone: zoneinfo.ZoneInfo,
) -> datetime.date | None:
    """The day before which nothing more is sent, where all of it was reminded lately.

    A letter went out on the business's own date, not on UTC's.
    """
    days = []
    for document in documents:
        sent = [one.at.astimezone(zone).date() for one in document.reminders.all()]
        if not sent:
            return None
        days.append(max(sent) + gap)
    next_day = min(days)
    return next_day if next_day > today else None
