from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.billing.enums import DocumentKind
from jobs.billing.models import Document, PriceItem, Terms
from jobs.billing.selectors.payments import document_open
from jobs.billing.selectors.prices import component, terms_get
from jobs.billing.services.charges import charge_add
from jobs.billing.services.credits import credit_note_issue
from jobs.billing.services.document_writing import Draft, DraftLine, document_write
from jobs.billing.services.drafts import invoice_draft
from jobs.billing.services.issue import document_issue

from .conftest import refreshed


def test_one_line_is_credited_and_may_be_charged_again(invoice, day, payer, tuner):
    line = invoice.lines.first()
    note = credit_note_issue(invoice=invoice, by=tuner, reason="not done", line_ids={line.pk})
    assert (note.total_minor, document_open(invoice)) == (26000, 26000)
    assert note.lines.get().quantity == 1
    again = invoice_draft(customer=payer, entries=refreshed(day.entries), by=tuner)
    assert [row.entry_id for row in again.lines.all()] == [line.entry_id]


def test_no_line_is_credited_twice(invoice, tuner):
    line = invoice.lines.first()
    credit_note_issue(invoice=invoice, by=tuner, reason="x", line_ids={line.pk})
    with pytest.raises(ValidationError, match="is left to credit"):
        credit_note_issue(invoice=invoice, by=tuner, reason="x", line_ids={line.pk})
    credit_note_issue(invoice=invoice, by=tuner, reason="x")
    with pytest.raises(ValidationError, match="is left to credit"):
        credit_note_issue(invoice=invoice, by=tuner, reason="x")


def test_a_reason_is_needed_and_only_invoices_are_credited(invoice, tuner):
    with pytest.raises(ValidationError, match="Say why"):
        credit_note_issue(invoice=invoice, by=tuner, reason="")
    note = credit_note_issue(invoice=invoice, by=tuner, reason="x")
    with pytest.raises(ValidationError, match="takes no credit note"):
        credit_note_issue(invoice=note, by=tuner, reason="x")


def test_a_discount_goes_back_with_its_lines(day, payer, tuner):
    charge_add(entry=day.entries[0], by=tuner, item=PriceItem.objects.get(code="loyal"))
    invoice = document_issue(
        document=invoice_draft(customer=payer, entries=day.entries, by=tuner), by=tuner
    )
    assert invoice.payable_minor == 26000 * 2 - 2600
    line = invoice.lines.get(entry=day.entries[0])
    note = credit_note_issue(invoice=invoice, by=tuner, reason="x", line_ids={line.pk})
    assert note.total_minor == 23400
    credit_note_issue(invoice=invoice, by=tuner, reason="x")
    assert document_open(invoice) == 0


amounts = st.lists(st.decimals("0.01", "900", places=2), min_size=2, max_size=6)


@settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(amounts=amounts, included=st.booleans(), percent=st.sampled_from(["7", "19", "23", "25.5"]))
def test_credited_line_by_line_an_invoice_comes_to_zero(payer, tuner, amounts, included, percent):
    Terms.objects.update(prices_include_tax=included)
    taxes = [component("S", percent, "VAT")]
    draft = document_write(
        Draft(
            kind=DocumentKind.INVOICE,
            customer=payer,
            lines=[DraftLine(description="x", price=Decimal(a), taxes=taxes) for a in amounts],
            terms=terms_get(),
        )
    )
    invoice = document_issue(document=draft, by=tuner, mail=False)
    if included:
        assert invoice.payable_minor == sum(int(a * 100) for a in amounts)
    for line in list(invoice.lines.all()):
        credit_note_issue(invoice=invoice, by=tuner, reason="x", line_ids={line.pk})
    assert document_open(invoice) == 0
    assert Document.objects.filter(corrects=invoice).count() == len(amounts)
