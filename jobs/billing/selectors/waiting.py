"""What waits in Money: past days with something to invoice, quotes that nobody answered."""

import datetime
from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Q, QuerySet

from jobs.trackday.models import Entry, Trackday

from ..enums import DocumentKind
from ..models import Document
from .days import open_sum
from .due_charges import due_charges

# A day further back is no longer looked through; what was forgotten then stands on its page.
LOOK_BACK = datetime.timedelta(days=400)


@dataclass(frozen=True)
class DayToInvoice:
    """A past day with bikes that are not invoiced. The sum is in the price list's own mode."""

    day: Trackday
    bikes: int
    open_minor: int


def days_to_invoice(today: datetime.date, *, places: int) -> list[DayToInvoice]:
    """The oldest first. The same queries whatever the number of days and bikes."""
    entries = list(
        Entry.objects.filter(trackday__date__lte=today, trackday__date__gte=today - LOOK_BACK)
        .select_related("package", "bike", "rider", "payer", "group", "trackday__venue")
        .order_by("trackday__date", "trackday", "pk")
    )
    charges = due_charges(entries)
    by_day: dict[Trackday, list[int]] = defaultdict(list)
    for entry in entries:
        if any(due.is_open for due in charges[entry.pk]):
            by_day[entry.trackday].append(open_sum(charges[entry.pk], places))
    return [DayToInvoice(day, len(sums), sum(sums)) for day, sums in by_day.items()]


def quotes_unanswered(today: datetime.date) -> QuerySet[Document]:
    """Quotes that still hold, for a day that is still to come, the oldest first."""
    return (
        Document.objects.filter(
            Q(due_on__isnull=True) | Q(due_on__gte=today),
            Q(trackday__isnull=True) | Q(trackday__date__gte=today),
            kind=DocumentKind.QUOTE,
            number__isnull=False,
            acceptance__isnull=True,
        )
        .select_related("customer")
        .order_by("issued_at", "pk")
    )
