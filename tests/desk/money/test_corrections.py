"""Corrections on the pages of Money, as an office person makes them."""

import datetime
import uuid

import pytest
from django.urls import reverse

from jobs.billing.models import Document, Payment
from jobs.billing.selectors.ledger import free_credit, held
from jobs.billing.selectors.payments import balance


def url(name: str, *args) -> str:
    return reverse(f"money:{name}", args=args)


def said(response) -> str:
    return " ".join(str(message) for message in response.context["messages"])


def newest(kind: str) -> Document:
    return Document.objects.filter(kind=kind).latest("pk")


@pytest.fixture
def deposit(desk, day, payer, pay) -> Document:
    """Of two bikes at 260.00, 156.00 asked for and paid."""
    ticked = {"entry": [entry.pk for entry in day.entries]}
    desk.post(url("draft", day.trackday.pk), ticked | {"kind": "quote"})
    quote = newest("quote")
    desk.post(url("issue", quote.pk))
    desk.post(url("accept", quote.pk), {"name": "Maren Voss"})
    desk.post(url("deposit", quote.pk))
    pay(newest("deposit"), 15600)
    return newest("deposit")


def invoiced(desk, day) -> Document:
    ticked = {"entry": [entry.pk for entry in day.entries], "kind": "invoice"}
    page = desk.post(url("draft", day.trackday.pk), ticked, follow=True).content.decode()
    assert "€156.00 of deposit D-00001, paid by Maren Voss, is taken off." in page
    desk.post(url("issue", newest("invoice").pk))
    return newest("invoice")


def test_a_deposit_is_given_back_by_hand_with_method_and_date(desk, day, deposit, payer):
    invoice = invoiced(desk, day)
    page = desk.get(url("document", deposit.pk)).content.decode()
    assert "Give the deposit back" not in page
    desk.post(url("credit", invoice.pk), {"whole": "1", "reason": "called off"})
    page = desk.get(url("document", deposit.pk)).content.decode()
    assert "Give the deposit back" in page
    assert "paid, not used by an invoice yet" in page
    form = {"id": uuid.uuid4(), "kind": "refund", "method": "cash", "received_on": "2026-06-20"}
    page = desk.post(url("pay", deposit.pk), form, follow=True)
    assert said(page) == "D-00001: refund of €156.00 entered."
    given = Payment.objects.get(kind="refund")
    assert (given.method, given.received_on) == ("cash", datetime.date(2026, 6, 20))
    assert held(deposit) == balance(payer) == 0


def test_a_deposit_nobody_needs_stands_in_money_until_it_is_used_or_given_back(
    desk, day, deposit, payer
):
    desk.post(url("keep-credit", deposit.pk))
    home = desk.get(url("home")).content.decode()
    assert "Credit that nobody used" in home
    assert url("account", payer.pk) in home
    page = desk.get(url("account", payer.pk)).content.decode()
    assert "Give credit back: €156.00" in page
    form = {"id": uuid.uuid4(), "kind": "refund", "method": "transfer", "amount": "156"}
    page = desk.post(url("on-account", payer.pk), form, follow=True)
    assert said(page) == "Given back."
    assert free_credit(payer) == balance(payer) == 0
    assert "Credit that nobody used" not in desk.get(url("home")).content.decode()


def test_money_on_the_wrong_account_is_struck_through_on_the_account(desk, payer):
    form = {"id": uuid.uuid4(), "method": "cash", "amount": "20"}
    desk.post(url("on-account", payer.pk), form)
    payment = Payment.objects.get()
    page = desk.get(url("account", payer.pk)).content.decode()
    assert url("payment-withdraw", payment.pk) in page
    page = desk.post(
        url("payment-withdraw", payment.pk), {"why": "another customer"}, follow=True
    ).content.decode()
    assert "another customer" in page
    assert free_credit(payer) == 0
