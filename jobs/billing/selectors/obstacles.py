"""Why a bike cannot be invoiced yet, one by one, so that each can be mended where it is."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from jobs.people.enums import TaxStatus
from jobs.trackday.models import Entry

from .due_charges import DueCharge
from .prices import TaxTable

ADDRESS, VAT_ID, HAND_OVER, PRICE, RATE = "address", "vat id", "hand-over", "price", "rate"


@dataclass(frozen=True)
class Obstacle:
    """``kind`` says where it is mended, ``words`` what is wrong."""

    kind: str
    words: str


def obstacles(
    entry: Entry, dues: Sequence[DueCharge], *, is_handed_over: bool, table: TaxTable
) -> list[Obstacle]:
    """All that stops the invoice of what is open of an entry; nothing where nothing is open."""
    due_now = [due for due in dues if due.is_open]
    if not due_now:
        return []
    payer, found = entry.payer, []
    if not (payer.street and payer.city):
        found.append(Obstacle(ADDRESS, _("%(name)s has no address") % {"name": payer.name}))
    if payer.tax_status == TaxStatus.REVERSE and not payer.tax_id:
        words = _("%(name)s has no VAT ID, which reverse charge needs") % {"name": payer.name}
        found.append(Obstacle(VAT_ID, words))
    if not is_handed_over:
        found.append(Obstacle(HAND_OVER, _("hand-over not done")))
    found += [
        Obstacle(PRICE, _("%(what)s has no price yet.") % {"what": due.description})
        for due in due_now
        if due.is_unpriced
    ]
    return found + _without_rate(entry, due_now, table)


def _without_rate(entry: Entry, dues: Sequence[DueCharge], table: TaxTable) -> list[Obstacle]:
    wrong: dict[str, None] = {}
    for due in dues:
        if not due.is_discount:
            try:
                table.on(due.tax_code, entry.trackday.date)
            except ValidationError as error:
                wrong |= dict.fromkeys(error.messages)
    return [Obstacle(RATE, words) for words in wrong]
