import uuid
from itertools import permutations

import pytest
from django.core.exceptions import ValidationError

from jobs.billing.enums import PaymentKind, PaymentMethod
from jobs.billing.models import Payment
from jobs.billing.selectors.journal import journal
from jobs.billing.selectors.payments import balance, document_open, free_credit, open_items
from jobs.billing.selectors.takings import day_takings
from jobs.billing.services.credits import credit_note_issue
from jobs.billing.services.freeze import today
from jobs.billing.services.payments import (
    credit_keep,
    credit_use,
    payment_add,
    payment_on_account,
    payment_withdraw,
)


def test_part_payment_overpayment_and_refund(invoice, pay, payer):
    pay(invoice, 20000)
    assert document_open(invoice) == 32000
    pay(invoice, 40000)
    assert document_open(invoice) == -8000
    with pytest.raises(ValidationError, match=r"€80\.00"):
        pay(invoice, 8001, kind=PaymentKind.REFUND)
    pay(invoice, 8000, kind=PaymentKind.REFUND)
    assert document_open(invoice) == balance(payer) == 0
    assert open_items(today()) == []


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


def test_credit_of_a_whole_invoice_brings_the_balance_to_nought(invoice, payer, tuner):
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


def test_what_was_paid_too_much_is_kept_as_credit_and_is_no_new_money(invoice, pay, tuner, payer):
    pay(invoice, 60000, method=PaymentMethod.CASH)
    credit_keep(document=invoice, by=tuner)
    assert (free_credit(payer), document_open(invoice), balance(payer)) == (8000, 0, -8000)
    taken, _payments = day_takings(today())
    assert taken.by_method == {"cash": 60000}
    assert sum(line.debit_minor for line in journal(today(), today())) == 0
    with pytest.raises(ValidationError, match="paid too much"):
        credit_keep(document=invoice, by=tuner)


def test_nothing_is_paid_on_a_draft_or_a_credit_note(invoice, pay, tuner):
    note = credit_note_issue(invoice=invoice, by=tuner, reason="x")
    with pytest.raises(ValidationError, match="asks for no money"):
        pay(note, 100)
    with pytest.raises(ValidationError, match="above nought"):
        pay(invoice, 0)
