"""Which months of the books are closed, and which can be."""

import calendar
import datetime

from jobs.people.dates import business_today

from ..models import Document, Payment
from .prices import terms_get


def last_day_of(month: datetime.date) -> datetime.date:
    return month.replace(day=calendar.monthrange(month.year, month.month)[1])


def closed_month() -> datetime.date | None:
    """The first day of the last closed month."""
    closed = terms_get().closed_through
    return closed.replace(day=1) if closed else None


def months_to_close() -> list[datetime.date]:
    """The first days of months that are over and not closed, from the first with an entry."""
    end = business_today().replace(day=1)
    closed = terms_get().closed_through
    month = closed + datetime.timedelta(days=1) if closed else _first_entry()
    found = []
    while month is not None and (first := month.replace(day=1)) < end:
        found.append(first)
        month = last_day_of(first) + datetime.timedelta(days=1)
    return found


def _first_entry() -> datetime.date | None:
    issued = Document.objects.filter(issued_on__isnull=False).order_by("issued_on")
    days = [
        issued.values_list("issued_on", flat=True).first(),
        Payment.objects.order_by("received_on").values_list("received_on", flat=True).first(),
    ]
    return min((day for day in days if day), default=None)
