"""Corrections on the pages of Money, as an office person makes them."""

import datetime
import uuid

import pytest
from django.urls import reverse

from jobs.billing.models import Document, Payment, PriceItem
from jobs.billing.selectors.ledger import free_credit, held
from jobs.billing.selectors.payments import balance
from jobs.billing.services.charges import charge_add
from jobs.billing.services.drafts import invoice_draft
from jobs.billing.services.issue import document_issue
from jobs.billing.services.mail import document_letter
from tests.billing.conftest import customer_make
from tests.days import day_build


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


def test_part_of_a_line_is_credited_on_the_document(desk, day, payer, invoice):
    line = invoice.lines.first()
    assert f'name="sum-{line.pk}"' in desk.get(url("document", invoice.pk)).content.decode()
    form = {f"sum-{line.pk}": "20", "reason": "rain"}
    page = desk.post(url("credit", invoice.pk), form, follow=True)
    assert said(page) == f"Credit note {newest('credit')} is issued."
    assert (newest("credit").total_minor, balance(payer)) == (2000, 50000)
    for wrong, words in (
        ({f"sum-{line.pk}": "999"}, "at most €240.00 can be credited, not €999.00"),
        ({f"sum-{line.pk}": "x"}, "“x” is not an amount such as 120.50"),
        ({f"sum-{line.pk}": "1", f"quantity-{line.pk}": "1"}, "a sum or a quantity, not both"),
        ({}, "Tick a line, or type how much of it is credited."),
    ):
        page = desk.post(url("credit", invoice.pk), wrong | {"reason": "x"}, follow=True)
        assert words in said(page)
    assert balance(payer) == 50000


def test_a_wrong_address_is_one_act_and_the_payment_goes_over(desk, invoice, payer, pay):
    pay(invoice, 10000)
    desk.get(url("document", invoice.pk))
    page = desk.post(url("reissue", invoice.pk), {"reason": "wrong address"}, follow=True)
    assert said(page).startswith(f"{invoice} is credited; {newest('invoice')} takes its place")
    html = page.content.decode()
    assert "€420.00" in html
    assert "moved here from" in html
    assert balance(payer) == 42000


def test_a_payment_of_the_wrong_sum_or_for_the_wrong_customer_is_corrected(
    desk, invoice, pay, tuner
):
    other = customer_make("Ben Daly")
    day = day_build(bikes=1, customers=[other])
    draft = invoice_draft(customer=other, entries=day.entries, by=tuner)
    his = document_issue(document=draft, by=tuner)
    payment = pay(invoice, 25000)
    form = {"id": uuid.uuid4(), "amount": "260.00", "received_on": "2026-06-19", "method": "card"}
    page = desk.post(url("payment-correct", payment.pk), form | {"to": his.label}, follow=True)
    assert said(page) == "Corrected; what was entered first is struck through."
    assert (balance(invoice.customer), balance(other)) == (52000, 0)
    payment.refresh_from_db()
    assert payment.withdrawn_why == "Entered wrongly, entered anew."
    right = Payment.objects.get(withdrawn_at=None)
    assert (right.customer, right.method, right.amount_minor) == (other, "card", 26000)
    desk.post(url("payment-correct", payment.pk), form | {"to": his.label})
    assert Payment.objects.count() == 2
    for wrong, words in (
        ({"to": "INV-99999"}, "No document has the number “INV-99999”."),
        ({"to": his.label}, "Nothing is different from what was entered."),
        ({"to": his.label, "amount": "0"}, "An amount above zero, please."),
        ({"to": his.label, "received_on": ""}, "The form was not whole"),
    ):
        values = form | {"id": uuid.uuid4()} | wrong
        page = desk.post(url("payment-correct", right.pk), values, follow=True)
        assert words in said(page)
    right.refresh_from_db()
    assert right.withdrawn_at is None
    values = form | {"id": uuid.uuid4(), "to": ""}
    desk.post(url("payment-correct", right.pk), values)
    assert (free_credit(other), balance(other)) == (26000, 0)


def test_the_same_sum_entered_twice_is_asked_about_before_it_stands(desk, invoice, payer):
    form = {"method": "cash", "amount": "100"}
    desk.post(url("pay", invoice.pk), form | {"id": uuid.uuid4()})
    again = form | {"id": uuid.uuid4()}
    page = desk.post(url("pay", invoice.pk), again).content.decode()
    assert "Entered already?" in page
    assert f'value="{again["id"]}"' in page
    assert balance(payer) == 42000
    desk.post(url("pay", invoice.pk), again | {"again": "1"})
    assert balance(payer) == 32000
    desk.post(url("on-account", payer.pk), form | {"id": uuid.uuid4()})
    page = desk.post(url("on-account", payer.pk), form | {"id": uuid.uuid4()}).content.decode()
    assert "Entered already?" in page
    assert free_credit(payer) == 10000


def test_a_deposit_above_the_invoice_is_to_give_back_and_never_below_zero(
    desk, day, payer, deposit
):
    """156.00 paid in advance, 148.55 to pay: 7.45 to give back."""
    less = PriceItem.objects.create(code="less", name="Less", kind="discount", price="371.45")
    charge_add(entry=day.entries[0], by=None, item=less)
    invoice = invoiced(desk, day)
    assert (invoice.total_minor, invoice.payable_minor) == (14855, -745)
    for page in (
        desk.get(url("document", invoice.pk)),
        desk.get(url("home")),
        desk.get(url("day", day.trackday.pk)),
    ):
        html = page.content.decode()
        assert "€7.45" in html
        assert "o give back" in html
        assert "-€7.45" not in html
        assert "−€7.45" not in html
    assert "by which we owe you €7.45:" in document_letter(invoice).text
