"""Nothing is dated into a closed month: refused in words, and by the database itself."""

import datetime
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from jobs.billing.enums import PaymentKind
from jobs.billing.models import Document, Payment, Terms
from jobs.billing.selectors.journal import journal_csv
from jobs.billing.selectors.months import closed_month, months_to_close
from jobs.billing.services.credits import credit_note_issue
from jobs.billing.services.drafts import invoice_draft, quote_draft
from jobs.billing.services.issue import document_issue
from jobs.billing.services.months import month_close, month_open
from jobs.billing.services.payment_corrections import payment_correct
from jobs.billing.services.payments import payment_on_account, payment_withdraw
from jobs.people.dates import business_today
from jobs.people.enums import TrailEvent
from jobs.people.models import TrailEntry

OF_OLD = datetime.date(2026, 3, 12)
MARCH, APRIL = datetime.date(2026, 3, 1), datetime.date(2026, 4, 1)


@pytest.fixture
def old_invoice(day, payer, tuner):
    """520.00, of 12 March 2026."""
    draft = invoice_draft(customer=payer, entries=day.entries, by=tuner)
    return document_issue(document=draft, by=tuner, on=OF_OLD)


def refused(service, **values) -> str:
    with pytest.raises(ValidationError) as caught, transaction.atomic():
        service(**values)
    return caught.value.messages[0]


SAID = (
    " is dated 12 March 2026, and the books are closed up to 31 March 2026. {}"
    " Or a tuner opens the month again, under Tax and export."
)


def test_a_document_is_not_issued_into_a_closed_month(day, payer, tuner):
    month_close(month=OF_OLD, by=tuner)
    draft = invoice_draft(customer=payer, entries=day.entries, by=tuner)
    told = refused(document_issue, document=draft, by=tuner, on=OF_OLD)
    assert told == "The invoice" + SAID.format("Issue it with a later date.")
    draft.refresh_from_db()
    assert draft.is_draft
    assert document_issue(document=draft, by=tuner, on=APRIL).issued_on == APRIL


def test_no_payment_is_entered_into_a_closed_month(old_invoice, payer, tuner, pay):
    month_close(month=MARCH, by=tuner)
    later = "The payment" + SAID.format("Enter it with a later date.")
    entered = {"payment_id": uuid.uuid4(), "amount_minor": 100, "by": tuner, "received_on": OF_OLD}
    assert refused(pay, document=old_invoice, minor=100, received_on=OF_OLD) == later
    assert refused(payment_on_account, customer=payer, method="cash", **entered) == later
    assert not Payment.objects.exists()
    assert pay(old_invoice, 100, received_on=APRIL).received_on == APRIL


def test_a_payment_of_a_closed_month_is_not_struck_through_or_corrected(old_invoice, tuner, pay):
    payment = pay(old_invoice, 52000, received_on=OF_OLD)
    month_close(month=MARCH, by=tuner)
    told = refused(payment_withdraw, payment=payment, by=tuner, why="mistyped")
    assert told == "The payment of €520.00" + SAID.format(
        "Enter what corrects it with a later date."
    )
    other = {"amount_minor": 5200, "method": "cash", "received_on": APRIL, "document": old_invoice}
    told = refused(payment_correct, payment_id=uuid.uuid4(), payment=payment, by=tuner, **other)
    assert told.startswith("The payment of €520.00 is dated")
    assert Payment.objects.get().withdrawn_at is None


def test_what_was_written_off_in_a_closed_month_does_not_yield(old_invoice, tuner, pay):
    pay(old_invoice, 52000, kind=PaymentKind.WRITE_OFF, received_on=OF_OLD)
    month_close(month=MARCH, by=tuner)
    told = refused(pay, document=old_invoice, minor=52000)
    assert told.startswith("What was written off, €520.00, is dated 12 March 2026")
    month_open(by=tuner)
    pay(old_invoice, 52000)


def test_a_credit_note_of_today_corrects_an_invoice_of_a_closed_month(old_invoice, tuner):
    before = journal_csv(MARCH, OF_OLD)
    month_close(month=MARCH, by=tuner)
    note = credit_note_issue(invoice=old_invoice, by=tuner, reason="wrong bike")
    assert note.issued_on == business_today()
    assert journal_csv(MARCH, OF_OLD) == before


def test_a_month_that_is_not_over_is_not_closed(prices, tuner):
    today = business_today()
    told = refused(month_close, month=today, by=tuner)
    assert told == f"{today:%B %Y} is not over: it can be closed from the day after its last."
    assert refused(month_open, by=tuner) == "No month is closed."


def test_closing_goes_on_and_opening_goes_back_a_month_at_a_time(old_invoice, tuner):
    assert months_to_close()[:2] == [MARCH, APRIL]
    month_close(month=APRIL, by=tuner)
    month_close(month=MARCH, by=tuner)  # closed with April already
    assert closed_month() == APRIL
    assert APRIL not in months_to_close()
    assert month_open(by=tuner) == APRIL
    assert Terms.objects.get().closed_through == datetime.date(2026, 3, 31)
    trail = TrailEntry.objects.filter(event__in=[TrailEvent.MONTH_CLOSED, TrailEvent.MONTH_OPENED])
    assert sorted(trail.values_list("event", "ref")) == [
        ("money.month", "2026-04"),
        ("money.reopened", "2026-04"),
    ]


@pytest.fixture
def closed_march(old_invoice, day, payer, tuner, pay):
    """A payment of a closed month, and a draft."""
    payment = pay(old_invoice, 100, received_on=OF_OLD)
    draft = quote_draft(customer=payer, entries=day.entries, by=tuner)
    month_close(month=MARCH, by=tuner)
    return payment, draft


def copied(row, **changed):
    """The same row once more, written past all services."""
    row.pk = None if isinstance(row.pk, int) else uuid.uuid4()
    for name, value in changed.items():
        setattr(row, name, value)
    row.save(force_insert=True)


@pytest.mark.parametrize("what", ["issue", "enter", "strike", "allocate"])
def test_the_database_refuses_it_too(closed_march, what):
    payment, draft = closed_march
    issued = {"number": 9, "label": "Q-9", "issued_at": timezone.now()}
    number = Document.objects.filter(pk=draft.pk)
    struck = Payment.objects.filter(pk=payment.pk)
    writes = {
        "issue": lambda day: number.update(**issued, issued_on=day),
        "enter": lambda day: copied(payment, received_on=day),
        "strike": lambda day: struck.update(withdrawn_at=timezone.now()),
        "allocate": lambda day: copied(payment.allocations.get(), day=day),
    }
    with pytest.raises(IntegrityError, match="closed up to that day"), transaction.atomic():
        writes[what](OF_OLD)
    if what == "strike":
        Terms.objects.update(closed_through=None)
    writes[what](APRIL)  # the same write, not refused in an open month
