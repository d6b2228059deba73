"""Where money stands after corrections that offices make, each with its figures."""

import datetime
import uuid
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from jobs.billing.enums import DocumentKind, PaymentKind, PaymentMethod
from jobs.billing.models import Allocation, Document, Payment, PriceItem, Terms
from jobs.billing.selectors.document_page import document_page
from jobs.billing.selectors.journal import journal
from jobs.billing.selectors.ledger import free_credit, held
from jobs.billing.selectors.payments import (
    balance,
    document_open,
    open_items,
    statement,
    unused_money,
)
from jobs.billing.services.absences import entry_cancel
from jobs.billing.services.charges import charge_add
from jobs.billing.services.credits import credit_note_issue
from jobs.billing.services.deposits import deposit_request_issue, quote_accept
from jobs.billing.services.drafts import invoice_draft, quote_draft
from jobs.billing.services.issue import document_issue
from jobs.billing.services.payments import (
    credit_keep,
    credit_use,
    payment_on_account,
    payment_withdraw,
)
from jobs.people.dates import business_today
from jobs.trackday.models import Entry

from .conftest import customer_make, refreshed


@pytest.fixture
def booked(payer, tuner):
    """A quote for some entries, accepted, and its deposit request."""

    def booked(entries, customer=payer):
        draft = quote_draft(customer=customer, entries=refreshed(entries), by=tuner)
        quote = document_issue(document=draft, by=tuner)
        quote_accept(quote=quote, name=customer.name)
        return deposit_request_issue(quote=quote, by=tuner)

    return booked


@pytest.fixture
def invoiced(payer, tuner):
    def invoiced(entries, customer=payer):
        draft = invoice_draft(customer=customer, entries=refreshed(entries), by=tuner)
        return document_issue(document=draft, by=tuner)

    return invoiced


@pytest.fixture
def price():
    def price(words):
        PriceItem.objects.filter(code="full-day").update(price=words)

    return price


def journal_is_balanced() -> bool:
    by_source: dict[str, int] = {}
    for line in journal(datetime.date(2000, 1, 1), datetime.date(2100, 1, 1)):
        by_source[line.source] = by_source.get(line.source, 0) + line.debit_minor
    return set(by_source.values()) <= {0}


def tax_that_stands() -> int:
    signs = {DocumentKind.INVOICE: 1, DocumentKind.PREPAYMENT_INVOICE: 1, "credit": -1}
    issued = Document.objects.filter(number__isnull=False)
    return sum(signs.get(one.kind, 0) * one.tax_minor for one in issued)


@pytest.mark.parametrize("taxed", [False, True])
@pytest.mark.parametrize("included", [True, False])
def test_an_invoice_credited_and_issued_again_takes_the_deposit_again(
    day, payer, pay, tuner, booked, invoiced, price, taxed, included
):
    """Quote 245.91, deposit 73.77: the second invoice asks 172.14, tax stands once."""
    Terms.objects.update(tax_advances=taxed, prices_include_tax=included)
    price("245.91" if included else "199.93")  # net 199.93 and 45.98 of tax are 245.91
    entries = day.entries[:1]
    pay(booked(entries), 7377)
    first = invoiced(entries)
    assert (document_open(first), balance(payer)) == (17214, 17214)
    credit_note_issue(invoice=first, by=tuner, reason="wrong address")
    assert (document_open(first), balance(payer)) == (0, -7377 + (7377 if taxed else 0))
    second = invoiced(entries)
    assert second.payable_minor == document_open(second) == balance(payer) == 17214
    assert tax_that_stands() in (4598, 4599)
    assert document_open(first) == 0
    pay(second, 17214)
    assert balance(payer) == 0
    assert open_items(business_today()) == unused_money() == []
    assert journal_is_balanced()


def test_two_deposits_of_one_payer_are_both_taken(day, payer, pay, tuner, booked, invoiced, price):
    """73.70 and 73.70 of two bikes: 487.36 less 147.40 is 339.96, as the account says."""
    price("245.67")
    for entry in day.entries:
        pay(booked([entry]), 7370)
    less = PriceItem.objects.create(code="less", name="Less", kind="discount", price="3.98")
    charge_add(entry=day.entries[0], by=tuner, item=less)
    invoice = invoiced(day.entries)
    assert (invoice.total_minor, invoice.prepaid_minor, invoice.payable_minor) == (
        48736,
        14740,
        33996,
    )
    assert balance(payer) == document_open(invoice) == 33996


def test_the_riders_deposit_is_taken_off_the_companys_invoice(
    day, payer, pay, tuner, booked, invoiced, price
):
    """The rider paid 73.70, a company is billed 245.67: it is asked for 171.97."""
    price("245.67")
    entries = day.entries[:1]
    deposit = booked(entries)
    pay(deposit, 7370)
    company = customer_make("Quarry Engineering")
    Entry.objects.filter(pk=entries[0].pk).update(payer=company)
    invoice = invoiced(entries, company)
    assert (invoice.prepaid_minor, document_open(invoice)) == (7370, 17197)
    assert (balance(payer), balance(company)) == (0, 17197)
    assert statement(payer)[1][-1].balance_minor == 0
    assert statement(company)[1][-1].balance_minor == 17197
    assert held(deposit) == 0
    assert journal_is_balanced()


def test_a_taxed_deposit_of_the_rider_is_no_deduction_of_the_company_and_can_be_given_back(
    day, payer, pay, tuner, booked, invoiced
):
    """The tax on it was stated to the rider: only he can be credited it."""
    Terms.objects.update(tax_advances=True)
    entries = day.entries[:1]
    deposit = booked(entries)
    pay(deposit, 7800)
    company = customer_make("Quarry Engineering")
    Entry.objects.filter(pk=entries[0].pk).update(payer=company)
    invoice = invoiced(entries, company)
    assert document_open(invoice) == balance(company) == 26000
    prepayment = Document.objects.get(kind=DocumentKind.PREPAYMENT_INVOICE)
    with pytest.raises(ValidationError, match=r"€0\.00"):
        pay(deposit, 7800, kind=PaymentKind.REFUND)
    credit_note_issue(invoice=prepayment, by=tuner, reason="a company is billed")
    assert [(one.deposit, one.minor) for one in unused_money()] == [(deposit, 7800)]
    pay(deposit, 7800, kind=PaymentKind.REFUND)
    assert (balance(payer), tax_that_stands()) == (0, invoice.tax_minor)
    assert unused_money() == []


def test_a_deposit_is_given_back_after_its_invoice_was_credited(
    day, payer, pay, tuner, booked, invoiced
):
    deposit = booked(day.entries[:1])
    pay(deposit, 7800)
    invoice = invoiced(day.entries[:1])
    with pytest.raises(ValidationError, match=r"€0\.00"):
        pay(deposit, 7800, kind=PaymentKind.REFUND)
    credit_note_issue(invoice=invoice, by=tuner, reason="called off")
    assert held(deposit) == 7800
    pay(deposit, 7800, kind=PaymentKind.REFUND)
    assert held(deposit) == balance(payer) == document_open(deposit) == 0
    assert open_items(business_today()) == []


def test_a_mistyped_deposit_payment_is_struck_once_its_invoice_is_credited(
    day, payer, pay, tuner, booked, invoiced
):
    deposit = booked(day.entries[:1])
    payment = pay(deposit, 78000)
    invoice = invoiced(day.entries[:1])
    with pytest.raises(ValidationError, match="INV-00001 took this payment into account"):
        payment_withdraw(payment=payment, by=tuner, why="ten times too much")
    credit_note_issue(invoice=invoice, by=tuner, reason="wrong deposit")
    payment_withdraw(payment=payment, by=tuner, why="ten times too much")
    assert (held(deposit), document_open(deposit), balance(payer)) == (0, 7800, 0)
    pay(deposit, 7800)
    assert document_open(invoiced(day.entries[:1])) == 26000 - 7800


def test_a_deposit_paid_after_the_draft_was_written_is_taken_all_the_same(
    day, payer, pay, tuner, booked
):
    deposit = booked(day.entries[:1])
    draft = invoice_draft(customer=payer, entries=refreshed(day.entries[:1]), by=tuner)
    assert draft.prepaid_minor == 0
    pay(deposit, 7800)
    invoice = document_issue(document=draft, by=tuner)
    assert (invoice.prepaid_minor, document_open(invoice)) == (7800, 18200)


def test_a_draft_that_misses_a_prepayment_invoice_is_written_again(day, payer, pay, tuner, booked):
    Terms.objects.update(tax_advances=True)
    deposit = booked(day.entries[:1])
    draft = invoice_draft(customer=payer, entries=refreshed(day.entries[:1]), by=tuner)
    pay(deposit, 7800)
    with pytest.raises(ValidationError, match="P-00001 took in advance changed"):
        document_issue(document=draft, by=tuner)


def test_one_deposit_for_two_bikes_is_shared_by_an_invoice_for_each(
    day, payer, pay, tuner, booked, invoiced
):
    """Of 600.00 paid for two bikes, the first invoice takes its 260.00, the second the rest."""
    pay(booked(day.entries), 60000)
    first, second = invoiced(day.entries[:1]), invoiced(day.entries[1:])
    assert (first.prepaid_minor, document_open(first)) == (26000, 0)
    assert (second.prepaid_minor, document_open(second)) == (34000, -8000)
    assert balance(payer) == -8000


@pytest.mark.parametrize("taxed", [False, True])
def test_a_cancellation_that_costs_less_than_the_deposit_gives_the_rest_back(
    day, payer, pay, tuner, booked, invoiced, taxed
):
    Terms.objects.update(tax_advances=taxed, cancellation_scale=[[30, 0], [0, 25]])
    entry = day.entries[0]
    pay(booked([entry]), 7800)
    entry_cancel(entry=entry, absence="cancelled", by=tuner, on=entry.trackday.date)
    invoice = invoiced([entry])
    assert (invoice.payable_minor, document_open(invoice)) == (6500 - 7800, -1300)
    page = document_page(invoice)
    assert (page.payable_words, page.payable) == ("To give back", "€13.00")
    pay(invoice, 500, kind=PaymentKind.REFUND)
    assert credit_keep(document=invoice, by=tuner) == 800
    assert (free_credit(payer), balance(payer), document_open(invoice)) == (800, -800, 0)


def test_credit_on_account_is_used_given_back_and_never_twice(invoice, payer, tuner):
    for number, minor in ((1, 1000), (2, 500)):
        payment_on_account(
            payment_id=uuid.UUID(int=number), customer=payer, amount_minor=minor,
            method=PaymentMethod.CARD, by=tuner,
        )  # fmt: skip
    assert credit_use(document=invoice, by=tuner) == 1500
    assert (document_open(invoice), free_credit(payer)) == (50500, 0)
    with pytest.raises(ValidationError, match=r"can be given back: €0\.00"):
        payment_on_account(
            payment_id=uuid.UUID(int=3), customer=payer, amount_minor=1,
            method=PaymentMethod.CASH, by=tuner, kind=PaymentKind.REFUND,
        )  # fmt: skip


def test_a_payment_that_was_moved_is_struck_wherever_it_stands(invoice, payer, tuner):
    payment = payment_on_account(
        payment_id=uuid.UUID(int=1), customer=payer, amount_minor=1000,
        method=PaymentMethod.CARD, by=tuner,
    )  # fmt: skip
    credit_use(document=invoice, by=tuner)
    payment_withdraw(payment=payment, by=tuner, why="another customer's")
    assert (document_open(invoice), free_credit(payer), balance(payer)) == (52000, 0, 52000)
    assert sum(row.amount_minor for row in Allocation.objects.all()) == 0


def test_what_was_given_back_is_struck_before_what_was_received(payer, tuner):
    received = payment_on_account(
        payment_id=uuid.UUID(int=1), customer=payer, amount_minor=1000,
        method=PaymentMethod.CARD, by=tuner,
    )  # fmt: skip
    given = payment_on_account(
        payment_id=uuid.UUID(int=2), customer=payer, amount_minor=400,
        method=PaymentMethod.CARD, by=tuner, kind=PaymentKind.REFUND,
    )  # fmt: skip
    with pytest.raises(ValidationError, match=r"€4\.00 of it was given back or used"):
        payment_withdraw(payment=received, by=tuner, why="bounced")
    payment_withdraw(payment=given, by=tuner, why="never sent")
    payment_withdraw(payment=received, by=tuner, why="bounced")
    assert free_credit(payer) == 0


def test_what_is_written_off_and_paid_after_all_is_no_money_to_give_back(invoice, payer, pay):
    pay(invoice, 50000)
    pay(invoice, 2000, kind=PaymentKind.WRITE_OFF, note="not worth a letter")
    pay(invoice, 1500)
    assert document_open(invoice) == balance(payer) == 0
    stands = Payment.objects.filter(kind=PaymentKind.WRITE_OFF, withdrawn_at__isnull=True)
    assert [row.amount_minor for row in stands] == [500]


def test_crediting_an_invoice_gives_back_no_more_than_was_paid(invoice, payer, pay, tuner):
    pay(invoice, 50000)
    pay(invoice, 2000, kind=PaymentKind.WRITE_OFF, note="not worth a letter")
    credit_note_issue(invoice=invoice, by=tuner, reason="called off")
    assert document_open(invoice) == balance(payer) == -50000


def test_a_deposit_is_no_debt_that_could_be_written_off(day, pay, booked):
    with pytest.raises(ValidationError, match="nothing to write off"):
        pay(booked(day.entries), 100, kind=PaymentKind.WRITE_OFF)


def test_a_prepayment_invoice_is_not_credited_while_an_invoice_takes_it_off(
    day, pay, tuner, booked, invoiced
):
    Terms.objects.update(tax_advances=True)
    pay(booked(day.entries), 15600)
    invoiced(day.entries)
    prepayment = Document.objects.get(kind=DocumentKind.PREPAYMENT_INVOICE)
    with pytest.raises(ValidationError, match="INV-00001 takes P-00001 off: credit that first"):
        credit_note_issue(invoice=prepayment, by=tuner, reason="x")


def test_a_line_credited_whole_is_charged_again_whatever_its_net_was_rounded_to(
    day, payer, tuner, invoiced
):
    """Three lines of 0.01 at 23 %: the net of one of them alone is another cent than in three."""
    for _line in range(3):
        charge_add(entry=day.entries[0], by=tuner, description="Washer", price=Decimal("0.02"))
    invoice = invoiced(day.entries[:1])
    for line in invoice.lines.filter(description="Washer"):
        credit_note_issue(invoice=invoice, by=tuner, reason="x", line_ids={line.pk})
    again = invoice_draft(customer=payer, entries=refreshed(day.entries[:1]), by=tuner)
    assert again.lines.count() == 3
