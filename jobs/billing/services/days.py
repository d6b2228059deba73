"""All the invoices of a trackday at once, and who gets none and why."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from jobs.people.models import Customer, User
from jobs.trackday.models import Entry, Trackday

from ..models import Document
from ..selectors.days import day_entries, handed_over
from ..selectors.due_charges import due_charges
from ..selectors.travel import by_payer
from .drafts import invoice_draft
from .issue import document_issue


@dataclass
class InvoicesIssued:
    """What came of it: the invoices, and every entry left out with its reasons."""

    invoices: list[Document] = field(default_factory=list)
    left_out: list[tuple[Entry, str]] = field(default_factory=list)


def day_invoices_issue(
    *, trackday: Trackday, by: User | None, one_per_bike: bool = False, mail: bool = True
) -> InvoicesIssued:
    """One invoice a customer (or a bike), each in its own transaction: one that fails is
    listed with its reason and stops nobody else's. Running it again issues only what is new."""
    result = InvoicesIssued()
    entries = day_entries(trackday)
    done = handed_over(entries)
    charges = due_charges(entries)
    unbilled = [entry for entry in entries if any(due.is_open for due in charges[entry.pk])]
    for group in by_payer(unbilled).values():
        ready = []
        for entry in group:
            why = _not_ready(entry, done)
            if why:
                result.left_out.append((entry, why))
            else:
                ready.append(entry)
        for part in [[entry] for entry in ready] if one_per_bike else [ready]:
            if part:
                _issue(result, group[0].payer, part, by, mail)
    return result


def _not_ready(entry: Entry, done: set[int]) -> str:
    payer = entry.payer
    if not (payer.street and payer.city):
        return _("%(name)s has no address") % {"name": payer.name}
    if entry.pk not in done:
        return _("hand-over not done")
    return ""


def _issue(
    result: InvoicesIssued,
    customer: Customer,
    entries: Sequence[Entry],
    by: User | None,
    mail: bool,
) -> None:
    try:
        with transaction.atomic():
            draft = invoice_draft(customer=customer, entries=entries, by=by)
            result.invoices.append(document_issue(document=draft, by=by, mail=mail))
    except ValidationError as error:
        result.left_out += [(entry, " ".join(error.messages)) for entry in entries]
