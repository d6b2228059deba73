"""What a document says beside its figures: which bikes, and what its day is."""

import pytest
from babel.dates import format_date

from jobs.billing.models import DocumentLine, Terms
from jobs.billing.selectors.document_page import document_page
from jobs.billing.services.absences import entry_cancel
from jobs.billing.services.credits import Part, credit_note_issue
from jobs.billing.services.deposits import deposit_request_issue, quote_accept
from jobs.billing.services.drafts import invoice_draft, quote_draft
from jobs.billing.services.issue import document_issue
from tests.billing.conftest import refreshed
from tests.days import DATE

pytestmark = pytest.mark.django_db


def issued(document, by):
    return document_issue(document=document, by=by)


def test_a_credit_note_names_only_the_bike_whose_line_it_takes_back(day, invoice, tuner):
    line = invoice.lines.get(entry=day.entries[1])
    note = credit_note_issue(
        invoice=invoice, by=tuner, reason="agreed", parts={line.pk: Part(amount_minor=2000)}
    )
    assert [part["entry"] for part in note.story] == [day.entries[1].pk]
    assert [len(part.lines) for part in document_page(note).parts] == [1]
    rest = credit_note_issue(invoice=invoice, by=tuner, reason="agreed")
    assert {part["entry"] for part in rest.story} == {entry.pk for entry in day.entries}


def test_no_work_was_done_on_a_bike_that_did_not_come(day, payer, tuner):
    entry_cancel(entry=day.entries[0], absence="no_show", by=tuner, on=DATE)
    first, second = refreshed(day.entries)
    cancelled = issued(invoice_draft(customer=payer, entries=[first], by=tuner), tuner)
    worked = issued(invoice_draft(customer=payer, entries=[second], by=tuner), tuner)
    assert document_page(cancelled).delivered_words == "For the day"
    assert document_page(worked).delivered_words == "Work done on"


def test_a_prepayment_says_when_it_was_received_and_is_taken_off_by_its_date(
    day, payer, tuner, pay
):
    Terms.objects.update(tax_advances=True)
    entries = refreshed(day.entries[:1])
    quote = issued(quote_draft(customer=payer, entries=entries, by=tuner), tuner)
    quote_accept(quote=quote, name="x")
    pay(deposit_request_issue(quote=quote, by=tuner), 7800)
    invoice = issued(invoice_draft(customer=payer, entries=entries, by=tuner), tuner)
    [taken_off] = DocumentLine.objects.filter(document=invoice, settles__isnull=False)
    prepayment = taken_off.settles
    assert document_page(prepayment).delivered_words == "Payment received on"
    written = format_date(prepayment.issued_on, format="d MMMM y", locale="en")
    assert taken_off.description == f"Less prepayment P-00001 of {written}"
