"""Credit of part of a line, and of an invoice that goes to another address."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from jobs.billing.enums import PaymentKind
from jobs.billing.models import Allocation, Document, PriceItem, Terms
from jobs.billing.selectors.due_charges import due_charges
from jobs.billing.selectors.ledger import held
from jobs.billing.selectors.payments import balance, document_open
from jobs.billing.services.charges import charge_add
from jobs.billing.services.credits import Part, credit_note_issue
from jobs.billing.services.days import day_invoices_issue
from jobs.billing.services.deposits import deposit_request_issue, quote_accept
from jobs.billing.services.drafts import invoice_draft, quote_draft
from jobs.billing.services.issue import document_issue
from jobs.billing.services.reissue import invoice_reissue
from jobs.people.models import Customer

from .conftest import refreshed


@pytest.fixture
def invoiced(day, payer, tuner):
    def invoiced():
        draft = invoice_draft(customer=payer, entries=refreshed(day.entries[:1]), by=tuner)
        return document_issue(document=draft, by=tuner)

    return invoiced


@pytest.fixture
def credit(tuner):
    def credit(invoice, **part):
        line = invoice.lines.exclude(charge_key="").first()
        return credit_note_issue(
            invoice=invoice, by=tuner, reason="x", parts={line.pk: Part(**part)}
        )

    return credit


@pytest.mark.parametrize(
    ("included", "asked", "stays"), [(True, 2000, 22000), (False, 2460, 27060)]
)
def test_twenty_off_day_support_leaves_the_rest_billed(
    day, tuner, invoiced, credit, included, asked, stays
):
    """20 off the 240 of one bike: the next batch bills nothing of it again."""
    Terms.objects.update(prices_include_tax=bool(included))
    PriceItem.objects.filter(code="full-day").update(price=240, name="Day support")
    invoice = invoiced()
    note = credit(invoice, amount_minor=2000)
    assert (note.total_minor, document_open(invoice)) == (asked, stays)
    line = note.lines.get()
    assert (line.description, line.quantity, line.price) == ("Day support", 1, 20)
    entry = refreshed(day.entries[:1])[0]
    assert [due.document_id for due in due_charges([entry])[entry.pk]] == [invoice.pk]
    day_invoices_issue(trackday=day.trackday, by=tuner)
    assert Document.objects.filter(kind="invoice", lines__entry=entry).count() == 1
    credit_note_issue(invoice=invoice, by=tuner, reason="called off")
    assert document_open(invoice) == 0
    assert not any(due.document_id for due in due_charges([entry])[entry.pk])


def test_two_of_three_hours_are_credited(day, payer, tuner, invoiced):
    hours = PriceItem.objects.create(
        code="hours", name="Bench hours", kind="labour", unit="HUR", price=Decimal("47.77")
    )
    charge_add(entry=day.entries[0], by=tuner, item=hours, quantity=Decimal(3))
    invoice = invoiced()
    line = invoice.lines.get(description="Bench hours")
    two = {line.pk: Part(quantity=Decimal(2))}
    note = credit_note_issue(invoice=invoice, by=tuner, reason="x", parts=two)
    assert note.total_minor == 9554
    row = note.lines.get()
    assert (row.quantity, row.unit, row.price) == (2, "HUR", Decimal("47.77"))
    with pytest.raises(ValidationError, match="between 0 and 1 can be credited, not 2"):
        credit_note_issue(invoice=invoice, by=tuner, reason="x", parts=two)
    one = {line.pk: Part(quantity=Decimal(1))}
    assert credit_note_issue(
        invoice=invoice, by=tuner, reason="x", parts=one
    ).total_minor == 4777  # fmt: skip
    credit_note_issue(invoice=invoice, by=tuner, reason="x")
    assert document_open(invoice) == 0


def test_a_sum_credited_is_that_sum_and_no_more_than_the_line_is_worth(
    day, tuner, invoiced, credit
):
    """Of 260.00 less 10 % a sum of 234.00 can be credited, and no discount goes with it."""
    charge_add(entry=day.entries[0], by=tuner, item=PriceItem.objects.get(code="loyal"))
    invoice = invoiced()
    assert invoice.payable_minor == 23400
    for wrong in (0, -100, 23401):
        with pytest.raises(ValidationError, match=r"at most €234\.00 can be credited"):
            credit(invoice, amount_minor=wrong)
    assert credit(invoice, amount_minor=2000).total_minor == 2000
    with pytest.raises(ValidationError, match="a sum was credited before"):
        credit(invoice, quantity=Decimal("0.5"))
    assert credit_note_issue(invoice=invoice, by=tuner, reason="x").total_minor == 21400
    assert document_open(invoice) == 0


@pytest.mark.parametrize("taxed", [False, True])
@pytest.mark.parametrize("included", [True, False])
def test_to_another_address_with_deposit_and_payment_carried_over(
    day, payer, pay, tuner, invoiced, taxed, included
):
    """Total 245.91, deposit 73.77, paid 100.00: the new invoice has 72.14 open."""
    Terms.objects.update(tax_advances=taxed, prices_include_tax=included)
    PriceItem.objects.filter(code="full-day").update(price="245.91" if included else "199.93")
    entries = refreshed(day.entries[:1])
    quote = document_issue(
        document=quote_draft(customer=payer, entries=entries, by=tuner), by=tuner
    )
    quote_accept(quote=quote, name="x")
    deposit = deposit_request_issue(quote=quote, by=tuner)
    pay(deposit, 7377)
    first = invoiced()
    pay(first, 10000)
    Customer.objects.filter(pk=payer.pk).update(street="8 Weir Lane")
    second = invoice_reissue(invoice=first, by=tuner, reason="wrong address")
    assert (first.buyer["street"], second.buyer["street"]) == ("3 Tannery Row", "8 Weir Lane")
    assert document_open(first) == held(deposit) == 0
    assert (second.payable_minor, document_open(second), balance(payer)) == (17214, 7214, 7214)
    assert second.note == f"Replaces {first.label}, which {first.corrections.get().label} credits."
    [due] = due_charges(entries)[entries[0].pk]
    assert due.document_id == second.pk
    pay(second, 7214)
    assert balance(payer) == 0


def test_what_was_credited_and_written_off_stays_so_on_the_new_invoice(
    day, payer, pay, tuner, invoiced, credit
):
    charge_add(entry=day.entries[0], by=tuner, item=PriceItem.objects.get(code="loyal"))
    first = invoiced()
    credit(first, amount_minor=2000)
    pay(first, 21000)
    pay(first, 400, kind=PaymentKind.WRITE_OFF, note="rounded")
    second = invoice_reissue(invoice=first, by=tuner, reason="wrong address")
    assert (second.total_minor, document_open(second), balance(payer)) == (21400, 0, 0)
    assert second.payments.get().note == "rounded"
    line, allowance = second.lines.get(), second.allowances.get()
    assert (line.quoted_minor, line.quantity, allowance.quoted_minor) == (24000, 1, 2600)


def test_what_was_paid_too_much_goes_over_too(payer, pay, tuner, invoiced):
    first = invoiced()
    pay(first, 30000)
    second = invoice_reissue(invoice=first, by=tuner, reason="wrong address")
    assert (document_open(first), document_open(second)) == (0, -4000)
    assert sum(Allocation.objects.values_list("amount_minor", flat=True)) == 30000 + 26000


def test_nothing_changes_where_it_cannot_be_issued_again(payer, tuner, invoiced):
    first = invoiced()
    Customer.objects.filter(pk=payer.pk).update(street="")
    with pytest.raises(ValidationError, match="has no address"):
        invoice_reissue(invoice=first, by=tuner, reason="wrong address")
    assert (document_open(first), first.corrections.count()) == (26000, 0)
    with pytest.raises(ValidationError, match="Only an issued invoice"):
        invoice_reissue(
            invoice=Document.objects.create(
                series=first.series, kind="quote", customer=payer, currency="EUR", language="en",
                scheme="vat", prices_include_tax=True, seller={}, buyer={},
            ),
            by=tuner, reason="x",
        )  # fmt: skip
