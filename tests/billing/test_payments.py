import uuid
from itertools import permutations

import pytest
from django.core.exceptions import ValidationError

from jobs.billing.enums import AllocationReason, PaymentKind, PaymentMethod
from jobs.billing.models import Allocation, Payment
from jobs.billing.selectors.journal import journal
from jobs.billing.selectors.ledger import free_credit
from jobs.billing.selectors.payments import balance, document_open, open_items
from jobs.billing.selectors.takings import day_takings
from jobs.billing.services.credits import credit_note_issue
from jobs.billing.services.payments import (
    credit_keep,
    credit_use,
    payment_add,
    payment_on_account,
    payment_withdraw,
)
from jobs.people.dates import business_today
from jobs.people.models import Customer
from jobs.people.services import customer_unlink, customers_link


def test_part_payment_overpayment_and_refund(invoice, pay, payer):
    pay(invoice, 20000)
    assert document_open(invoice) == 32000
    pay(invoice, 40000)
    assert document_open(invoice) == -8000
    with pytest.raises(ValidationError, match=r"€80\.00"):
        pay(invoice, 8001, kind=PaymentKind.REFUND)
    pay(invoice, 8000, kind=PaymentKind.REFUND)
    assert document_open(invoice) == balance(payer) == 0
    assert open_items(business_today()) == []


@pytest.mark.parametrize("order", list(permutations([12000, 30000, 500]))[:6])
def test_payments_in_any_order_give_the_same_balance(invoice, pay, payer, order):
    for minor in order:
        pay(invoice, minor)
    assert balance(payer) == document_open(invoice) == 9500


def test_the_same_form_sent_twice_is_one_payment(invoice, tuner):
    payment_id = uuid.uuid4()
    for _attempt in range(2):
        payment_add(payment_id=payment_id, document=invoice, amount_minor=100, by=tuner)
    assert Payment.objects.count() == 1


def test_credit_of_a_whole_invoice_brings_the_balance_to_zero(invoice, payer, tuner):
    credit_note_issue(invoice=invoice, by=tuner, reason="called off")
    assert balance(payer) == document_open(invoice) == 0


def test_a_paid_invoice_credited_is_owed_back(invoice, pay, payer, tuner):
    pay(invoice, 52000)
    credit_note_issue(invoice=invoice, by=tuner, reason="called off")
    assert document_open(invoice) == -52000
    pay(invoice, 52000, kind=PaymentKind.REFUND)
    assert balance(payer) == 0


def test_a_write_off_takes_no_more_than_is_open(invoice, pay, payer):
    pay(invoice, 50000)
    with pytest.raises(ValidationError, match="No more can be written off"):
        pay(invoice, 2001, kind=PaymentKind.WRITE_OFF)
    pay(invoice, 2000, kind=PaymentKind.WRITE_OFF, note="not worth the stamp")
    assert balance(payer) == 0


def test_a_payment_struck_through_opens_the_invoice_again(invoice, pay, tuner):
    payment = pay(invoice, 52000)
    with pytest.raises(ValidationError, match="Say why"):
        payment_withdraw(payment=payment, by=tuner, why=" ")
    payment_withdraw(payment=payment, by=tuner, why="bounced")
    assert document_open(invoice) == 52000


def test_credit_standing_pays_the_next_invoice(invoice, tuner, payer):
    for _attempt in range(2):
        payment_on_account(
            payment_id=uuid.UUID(int=1),
            customer=payer,
            amount_minor=60000,
            method=PaymentMethod.CARD,
            by=tuner,
        )
    assert free_credit(payer) == 60000
    credit_use(document=invoice, by=tuner)
    assert (free_credit(payer), document_open(invoice), balance(payer)) == (8000, 0, -8000)
    with pytest.raises(ValidationError, match="no credit to use"):
        credit_use(document=invoice, by=tuner)


def on_account(customer, minor, by):
    payment_on_account(
        payment_id=uuid.uuid4(), customer=customer, amount_minor=minor,
        method=PaymentMethod.CARD, by=by,
    )  # fmt: skip


def test_credit_of_a_customer_found_twice_is_shown_and_used_together(invoice, tuner, payer):
    again = Customer.objects.create(name="The same, again")
    on_account(payer, 20000, tuner)
    on_account(again, 40000, tuner)
    assert free_credit(payer) == 20000
    customers_link(customer=again, other=payer, by=tuner)
    for row in (payer, again, invoice):
        row.refresh_from_db()
    assert free_credit(payer) == free_credit(again) == 60000
    credit_use(document=invoice, by=tuner)
    assert (document_open(invoice), free_credit(payer)) == (0, 8000)
    moved = Allocation.objects.filter(reason=AllocationReason.MOVED)
    said = moved.values_list("customer", "amount_minor", "document")
    assert sorted(said, key=str) == sorted(
        [(payer.pk, -20000, None), (payer.pk, 20000, invoice.pk),
         (again.pk, -32000, None), (again.pk, 32000, invoice.pk)], key=str,
    )  # fmt: skip
    customer_unlink(customer=again, by=tuner)
    payer.refresh_from_db()
    again.refresh_from_db()
    assert (free_credit(payer), balance(payer)) == (0, 0)  # each has what it had, less what it gave
    assert (free_credit(again), balance(again)) == (8000, -8000)


def test_what_was_paid_too_much_is_kept_as_credit_and_is_no_new_money(invoice, pay, tuner, payer):
    pay(invoice, 60000, method=PaymentMethod.CASH)
    credit_keep(document=invoice, by=tuner)
    assert (free_credit(payer), document_open(invoice), balance(payer)) == (8000, 0, -8000)
    taken, _payments = day_takings(business_today())
    assert taken.by_method == {"cash": 60000}
    assert sum(line.debit_minor for line in journal(business_today(), business_today())) == 0
    with pytest.raises(ValidationError, match="paid too much"):
        credit_keep(document=invoice, by=tuner)


def test_nothing_is_paid_on_a_draft_or_a_credit_note(invoice, pay, tuner):
    note = credit_note_issue(invoice=invoice, by=tuner, reason="x")
    with pytest.raises(ValidationError, match="asks for no money"):
        pay(note, 100)
    with pytest.raises(ValidationError, match="above zero"):
        pay(invoice, 0)
