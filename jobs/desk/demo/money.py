"""The documents of the demo: quotes accepted before the day, invoices in the evening."""

import uuid

from jobs.billing.enums import PaymentMethod
from jobs.billing.models import Document
from jobs.billing.selectors.days import day_entries, handed_over
from jobs.billing.services.deposits import deposit_request_issue, quote_accept
from jobs.billing.services.drafts import invoice_draft, quote_draft
from jobs.billing.services.issue import document_issue
from jobs.billing.services.payments import payment_add
from jobs.people.enums import Role
from jobs.people.models import User
from jobs.setups.enums import RowKind, RowState
from jobs.setups.models import Adjustment
from jobs.trackday.models import Entry, Trackday

BOOKED_AHEAD = 2
INVOICED_BY_EVENING = 4


def money_play(*, trackday: Trackday, moment: str) -> None:
    """Two customers booked by quote, one of them paid the deposit. In the evening four have
    their invoice: one paid by card, one in part, two still open."""
    tuner = User.objects.filter(role=Role.TUNER).order_by("pk").first()
    assert tuner is not None
    worked = set(
        Adjustment.objects.filter(
            entry__trackday=trackday, kind=RowKind.CHANGE, state=RowState.PLACED
        ).values_list("entry", flat=True)
    )
    ready = [e for e in day_entries(trackday) if e.payer.street and e.payer.city]
    ready.sort(key=lambda entry: entry.pk not in worked)
    for place, entry in enumerate(ready[:BOOKED_AHEAD]):
        _booked(entry, tuner, paid=place == 0)
    if moment == "evening":
        done = handed_over(ready)
        billed = [entry for entry in ready if entry.pk in done][:INVOICED_BY_EVENING]
        for place, entry in enumerate(billed):
            _invoiced(entry, tuner, place)


def _booked(entry: Entry, tuner: User, *, paid: bool) -> None:
    draft = quote_draft(customer=entry.payer, entries=[entry], by=tuner)
    quote = document_issue(document=draft, by=tuner)
    quote_accept(quote=quote, name=entry.payer.name)
    deposit = deposit_request_issue(quote=quote, by=tuner)
    if paid:
        _pay(deposit, deposit.payable_minor, PaymentMethod.TRANSFER, tuner)


def _invoiced(entry: Entry, tuner: User, place: int) -> None:
    draft = invoice_draft(customer=entry.payer, entries=[entry], by=tuner)
    invoice = document_issue(document=draft, by=tuner)
    if place == 0:
        _pay(invoice, invoice.payable_minor, PaymentMethod.CARD, tuner)
    elif place == 1:
        _pay(invoice, invoice.payable_minor // 2, PaymentMethod.CASH, tuner)


def _pay(document: Document, minor: int, method: str, tuner: User) -> None:
    payment_add(
        payment_id=uuid.uuid4(), document=document, amount_minor=minor, by=tuner, method=method
    )
