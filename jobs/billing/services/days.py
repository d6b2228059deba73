"""All the invoices of a trackday at once, and who gets none and why."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from django.core.exceptions import ValidationError
from django.db import transaction

from jobs.people.models import Customer, User
from jobs.trackday.models import Entry, Trackday

from ..models import Document
from ..selectors.days import day_entries, day_obstacles
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
    charges = due_charges(entries)
    why_not = day_obstacles(entries, charges)
    unbilled = [entry for entry in entries if any(due.is_open for due in charges[entry.pk])]
    for group in by_payer(unbilled).values():
        ready = []
        for entry in group:
            if why_not[entry.pk]:
                words = "; ".join(one.words for one in why_not[entry.pk])
                result.left_out.append((entry, words))
            else:
                ready.append(entry)
        for part in [[entry] for entry in ready] if one_per_bike else [ready]:
            if part:
                _issue(result, group[0].payer, part, by, mail)
    return result


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
