"""What a day cost its customer and what is paid of it."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any

from jobs.billing.enums import DocumentKind
from jobs.billing.money import exponent
from jobs.billing.selectors.customers import documents_about
from jobs.billing.selectors.days import open_sum
from jobs.billing.selectors.due_charges import DueCharge, due_charges
from jobs.billing.selectors.prices import terms_get
from jobs.people.models import Business, User
from jobs.trackday.models import Entry


@dataclass(frozen=True)
class DayBill:
    """``documents``: those about this day, each with ``open``. ``dues``: not invoiced yet."""

    documents: Sequence[Any]
    dues: Sequence[DueCharge]
    dues_minor: int
    is_tax_included: bool
    currency: str

    @property
    def has_invoice(self) -> bool:
        return any(one.kind == DocumentKind.INVOICE for one in self.documents)


def day_bill(
    entry: Entry, *, user: User, customers: Collection[int], business: Business
) -> DayBill | None:
    """None where somebody else pays for the day."""
    if entry.payer_id not in customers:
        return None
    dues = [due for due in due_charges([entry])[entry.pk] if due.is_open and not due.is_unpriced]
    return DayBill(
        documents=documents_about(user=user, entry=entry),
        dues=dues,
        dues_minor=open_sum(dues, exponent(business.currency)),
        is_tax_included=terms_get().prices_include_tax,
        currency=business.currency,
    )
