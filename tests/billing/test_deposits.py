import datetime

import pytest
import time_machine
from django.core.exceptions import ValidationError

from jobs.billing.enums import DocumentKind, PaymentKind
from jobs.billing.models import Acceptance, Document, Terms
from jobs.billing.selectors.payments import balance, document_open, open_items
from jobs.billing.services.deposits import deposit_request_issue, quote_accept
from jobs.billing.services.drafts import invoice_draft, quote_draft
from jobs.billing.services.issue import document_issue
from jobs.billing.services.payments import payment_withdraw
from jobs.people.dates import business_today


@pytest.fixture
def quote(day, payer, tuner):
    draft = quote_draft(customer=payer, entries=day.entries, by=tuner)
    return document_issue(document=draft, by=tuner)


def test_a_quote_tells_the_cancellation_scale_at_booking(quote):
    assert "nothing up to 30 days before, 25 % up to 14 days before" in quote.terms_text
    assert "Called off for weather we charge nothing" in quote.terms_text


def test_a_quote_is_accepted_once_with_name_and_time(quote):
    first = quote_accept(quote=quote, name="Maren Voss")
    again = quote_accept(quote=quote, name="Somebody Else")
    assert (again.pk, again.name) == (first.pk, "Maren Voss")
    assert Acceptance.objects.count() == 1
    with pytest.raises(ValidationError, match="write your name"):
        quote_accept(quote=quote, name="  ")


def test_a_quote_is_valid_on_its_last_day_and_not_the_day_after(quote):
    following = quote.due_on + datetime.timedelta(days=1)
    with (
        time_machine.travel(f"{following}T12:00:00+00:00", tick=False),
        pytest.raises(ValidationError, match="was valid until"),
    ):
        quote_accept(quote=quote, name="Maren")
    with time_machine.travel(f"{quote.due_on}T12:00:00+00:00", tick=False):
        assert quote_accept(quote=quote, name="Maren").name == "Maren"


def test_a_deposit_is_asked_for_after_acceptance_and_once(quote, tuner):
    with pytest.raises(ValidationError, match="not accepted yet"):
        deposit_request_issue(quote=quote, by=tuner)
    quote_accept(quote=quote, name="Maren")
    deposit = deposit_request_issue(quote=quote, by=tuner)
    assert (deposit.label, deposit.payable_minor) == ("D-00001", 15600)
    with pytest.raises(ValidationError, match="asked for already"):
        deposit_request_issue(quote=quote, by=tuner)


def test_the_final_invoice_takes_the_deposit_into_account(quote, day, payer, tuner, pay):
    quote_accept(quote=quote, name="Maren")
    deposit = deposit_request_issue(quote=quote, by=tuner)
    payment = pay(deposit, 15600)
    assert balance(payer) == -15600
    invoice = document_issue(
        document=invoice_draft(customer=payer, entries=day.entries, by=tuner), by=tuner
    )
    assert (invoice.total_minor, invoice.prepaid_minor, document_open(invoice)) == (
        52000,
        15600,
        36400,
    )
    assert [item.document.pk for item in open_items(business_today())] == [invoice.pk]
    with pytest.raises(ValidationError, match="INV-00001 took this payment into account"):
        payment_withdraw(payment=payment, by=tuner, why="x")
    with pytest.raises(ValidationError, match="INV-00001 has taken this deposit's place"):
        pay(deposit, 100)
    pay(invoice, 36400)
    assert balance(payer) == 0


def test_a_deposit_is_given_back_when_the_day_is_called_off(quote, payer, tuner, pay):
    quote_accept(quote=quote, name="Maren")
    deposit = deposit_request_issue(quote=quote, by=tuner)
    pay(deposit, 15600)
    with pytest.raises(ValidationError, match=r"€156\.00"):
        pay(deposit, 15601, kind=PaymentKind.REFUND)
    pay(deposit, 15600, kind=PaymentKind.REFUND)
    assert balance(payer) == 0
    assert open_items(business_today()) == []


def test_taxed_on_receipt_the_sums_come_to_the_same(quote, day, payer, tuner, pay):
    Terms.objects.update(tax_advances=True)
    quote_accept(quote=quote, name="Maren")
    deposit = deposit_request_issue(quote=quote, by=tuner)
    pay(deposit, 15600)
    assert balance(payer) == 0
    invoice = document_issue(
        document=invoice_draft(customer=payer, entries=day.entries, by=tuner), by=tuner
    )
    prepayment = Document.objects.get(kind=DocumentKind.PREPAYMENT_INVOICE)
    assert prepayment.tax_minor + invoice.tax_minor in (9723, 9724)
    assert prepayment.total_minor + invoice.total_minor == 52000
    pay(invoice, document_open(invoice))
    assert balance(payer) == 0
