"""Sums of the bank matched and placed: by reference, number, name and sum; never twice."""

import datetime
import uuid
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from stdnum import iso11649

from jobs.billing.bank_files.camt_reader import camt_read
from jobs.billing.bank_files.mt940_reader import mt940_read
from jobs.billing.bank_files.rows import BankFileFault, BankRow, BankStatement
from jobs.billing.enums import BankFileKind
from jobs.billing.models import Allocation, BankFile, BankLine, Payment
from jobs.billing.selectors.bank import bank_page
from jobs.billing.selectors.bank_matches import waiting_matched
from jobs.billing.selectors.ledger import free_credit
from jobs.billing.selectors.payments import balance, document_open
from jobs.billing.services.bank import (
    bank_candidate_place,
    bank_file_take,
    bank_line_bring_back,
    bank_line_place,
    bank_line_set_aside,
    bank_sure_place,
)
from jobs.billing.services.credits import credit_note_issue
from jobs.billing.services.deposits import deposit_request_issue, quote_accept
from jobs.billing.services.drafts import invoice_draft, quote_draft
from jobs.billing.services.issue import document_issue
from jobs.billing.services.payment_corrections import payment_correct
from jobs.billing.services.payments import payment_withdraw
from jobs.people.models import TrailEntry
from tests.billing.conftest import customer_make, refreshed
from tests.billing.test_bank_files import HERE, camt
from tests.days import day_build
from tests.queries import queries

DAY = datetime.date(2026, 6, 15)


@pytest.fixture
def take(tuner):
    """Take rows in: ``take(("520.00", "Maren Voss", "text"), ...)``, all on one day."""

    def take(*sums, kind=BankFileKind.CAMT, day=DAY, **more):
        rows = [
            BankRow("DE", day, Decimal(amount), "EUR", payer_name=name, text=text, **more)
            for amount, name, text in sums
        ]
        return bank_file_take(statement=BankStatement(kind, rows), name="june.xml", by=tuner)

    return take


@pytest.fixture
def invoices(prices, tuner):
    """An invoice of 260.00 for each of these names."""

    def invoices(*names):
        people = {name: customer_make(name) for name in dict.fromkeys(names)}
        entries = day_build(bikes=len(names), customers=list(people.values())).entries
        for entry, name in zip(entries, names, strict=True):
            entry.payer = people[name]
            entry.save()
        return [
            document_issue(
                document=invoice_draft(customer=entry.payer, entries=[entry], by=tuner), by=tuner
            )
            for entry in refreshed(entries)
        ]

    return invoices


def sure() -> dict[int, str]:
    """What the page shows as sure."""
    return {one.line.pk: one.sure.key for one in waiting_matched() if one.sure}


def reasons(matched) -> list[list[str]]:
    return [[str(word) for word in one.why] for one in matched.candidates]


def test_the_reference_of_a_document_and_its_sum_are_sure(invoice, take, tuner):
    assert iso11649.is_valid(invoice.reference)
    spaced = " ".join(invoice.reference[n : n + 4] for n in range(0, 25, 4)).strip()
    take(("520.00", "Somebody's Bank", f"payment {spaced.lower()} thanks"))
    [matched] = waiting_matched()
    assert matched.sure.documents == (invoice,)
    result = bank_sure_place(shown=sure(), by=tuner)
    assert result.left == []
    [payment] = result.placed
    assert (payment.document, payment.amount_minor) == (invoice, 52000)
    assert (payment.method, payment.received_on) == ("transfer", DAY)
    assert document_open(invoice) == 0
    assert waiting_matched() == []


@pytest.mark.parametrize(
    ("sum_", "name", "text", "why"),
    [
        ("519.00", "Maren Voss", "{reference}", ["the reference", "the name"]),
        ("520.00", "Unknown", "{label}", ["the number in the text", "the sum"]),
        ("520.00", "Voss, Maren", "", ["the name", "the sum"]),
        ("520.00", "Unknown", "", ["the sum"]),
        ("12.00", "MAREN VOSS", "", ["the name"]),
    ],
)
def test_what_is_not_sure_is_listed_with_what_speaks_for_it(invoice, take, sum_, name, text, why):
    take((sum_, name, text.format(reference=invoice.reference, label=invoice.label)))
    [matched] = waiting_matched()
    assert matched.sure is None
    assert reasons(matched) == [why]


def test_a_wrong_digit_in_the_reference_is_no_reference(invoice, take):
    wrong = invoice.reference[:-1] + ("2" if invoice.reference[-1] != "2" else "3")
    take(("77.00", "Unknown", wrong))
    [matched] = waiting_matched()
    assert matched.candidates == []


@pytest.mark.parametrize("said", ["INV-00001", "inv 00001", "Re:INV00001.", "INV_00001/June"])
def test_the_number_with_the_name_and_the_sum_is_sure(invoice, take, said):
    take(("520.00", "VOSS MAREN", said))
    assert list(sure().values()) == [f"document:{invoice.pk}"]


@pytest.mark.parametrize("said", ["INV-000012", "XINV-00001", "INV-0001"])
def test_another_number_that_holds_this_one_is_not_it(invoice, take, said):
    take(("520.00", "VOSS MAREN", said))
    assert sure() == {}


def test_two_sums_for_one_document_are_one_sure_and_one_question(invoice, take, tuner):
    take(("520.00", "Maren Voss", invoice.reference), ("520.00", "Maren Voss", invoice.reference))
    first, second = waiting_matched()
    assert first.sure.documents == (invoice,)
    assert (second.sure, second.candidates, second.taken) == (None, [], [invoice])
    assert len(bank_sure_place(shown=sure(), by=tuner).placed) == 1
    [left] = waiting_matched()
    assert reasons(left) == [["the reference", "the name"]]
    assert left.candidates[0].open_minor == 0


def test_one_transfer_for_two_invoices_pays_both(invoices, take, tuner):
    first, second = invoices("Ada Finn", "Ada Finn")
    take(("520.00", "Somebody", f"{first.reference} and {second.reference}"))
    [matched] = waiting_matched()
    assert set(matched.sure.documents) == {first, second}
    bank_sure_place(shown=sure(), by=tuner)
    assert (document_open(first), document_open(second)) == (0, 0)
    assert free_credit(first.customer) == 0
    assert balance(first.customer) == 0


def test_the_sum_of_all_that_somebody_owes_is_a_candidate(invoices, take, tuner):
    first, second = invoices("Ada Finn", "Ada Finn")
    take(("520.00", "ADA FINN", "June"))
    [matched] = waiting_matched()
    assert matched.sure is None
    assert set(matched.candidates[0].documents) == {first, second}
    bank_candidate_place(line=matched.line, candidate=matched.candidates[0], by=tuner)
    assert (document_open(first), document_open(second)) == (0, 0)


def test_what_was_entered_by_hand_is_known_as_the_same_money(invoice, take, pay, tuner):
    entered = pay(invoice, 52000, received_on=DAY - datetime.timedelta(days=2))
    take(("520.00", "Maren Voss", invoice.reference))
    [matched] = waiting_matched()
    assert matched.sure.payment == entered
    bank_sure_place(shown=sure(), by=tuner)
    assert Payment.objects.count() == 1
    assert BankLine.objects.get().payment == entered
    assert document_open(invoice) == 0


def test_cash_and_what_was_entered_weeks_before_is_other_money(invoice, take, pay):
    pay(invoice, 52000, method="cash", received_on=DAY)
    pay(invoice, 52000, received_on=DAY - datetime.timedelta(days=15))
    take(("520.00", "Maren Voss", ""))
    [matched] = waiting_matched()
    assert matched.candidates == []


def test_who_paid_from_this_account_before_is_known_again(invoices, take, tuner):
    first, second = invoices("Ada Finn", "Ada Finn")
    take(("260.00", "P. Partner", first.reference), payer_account="DE02120300000000202051")
    bank_sure_place(shown=sure(), by=tuner)
    take(("260.00", "P. Partner", second.label), payer_account="DE02120300000000202051")
    [matched] = waiting_matched()
    assert matched.sure.documents == (second,)
    assert "paid from this account before" in [str(word) for word in matched.sure.why]


def test_a_deposit_is_placed_on_its_request_and_once_it_is_invoiced_there(day, payer, take, tuner):
    [entry, _other] = refreshed(day.entries)
    quote = document_issue(
        document=quote_draft(customer=payer, entries=[entry], by=tuner), by=tuner
    )
    quote_accept(quote=quote, name="x")
    deposit = deposit_request_issue(quote=quote, by=tuner)
    take(("78.00", "Maren Voss", deposit.reference), ("78.00", "Maren Voss", "again"))
    assert list(sure().values()) == [f"document:{deposit.pk}"]
    bank_sure_place(shown=sure(), by=tuner)
    invoice = document_issue(
        document=invoice_draft(customer=payer, entries=[entry], by=tuner), by=tuner
    )
    assert document_open(invoice) == 18200
    [again] = waiting_matched()
    with pytest.raises(ValidationError, match=f"Invoice {invoice.label} has taken this"):
        bank_line_place(line=again.line, document=deposit, by=tuner)


def test_only_what_was_shown_and_is_still_sure_is_placed(invoice, invoices, take, pay, tuner):
    [other] = invoices("Ben Daly")
    take(("520.00", "Maren Voss", invoice.reference), ("260.00", "Ben Daly", other.reference))
    shown = sure()
    pay(other, 26000, method="cash")
    result = bank_sure_place(shown=shown, by=tuner)
    assert [one.document for one in result.placed] == [invoice]
    assert result.left == ["Ben Daly: it is no longer sure"]
    again = bank_sure_place(shown=shown, by=tuner)
    assert (again.placed, len(again.left)) == ([], 1)
    assert Payment.objects.count() == 2


def test_the_same_file_again_changes_nothing(invoice, tuner):
    """Whole, part of it, with more beside it; placed or not."""
    first = bank_file_take(statement=camt_read(camt()), name="a.xml", by=tuner)
    assert (first.new, first.known) == (6, 0)
    bank_sure_place(shown=sure(), by=tuner)
    tables = (BankFile, BankLine, Payment, Allocation, TrailEntry)
    before = [list(table.objects.order_by("pk").values()) for table in tables]
    for content in (camt(), camt("08"), camt("02"), camt("13")):
        taken = bank_file_take(statement=camt_read(content), name="b.xml", by=tuner)
        assert (taken.file, taken.new, taken.known) == (None, 0, 6)
    assert [list(table.objects.order_by("pk").values()) for table in tables] == before


def test_files_that_overlap_bring_each_sum_once(take):
    a, b, c = ("1.00", "Ada", "x"), ("2.00", "Ben", "y"), ("3.00", "Cem", "z")
    assert take(a, b, b).new == 3
    taken = take(b, b, c)
    assert (taken.new, taken.known) == (1, 2)
    assert take(b, b, b).new == 1
    assert BankLine.objects.count() == 5


def test_the_same_sum_in_a_file_of_another_kind_is_asked_about_and_never_sure(invoice, tuner, take):
    take(("520.00", "Maren Voss", "cash machine"))
    bank_file_take(
        statement=mt940_read((HERE / "two-days.sta").read_bytes()), name="a.sta", by=tuner
    )
    matched = {one.line.payer_name: one for one in waiting_matched()}
    assert matched["MAREN VOSS"].twin.payer_name == "Maren Voss"
    assert matched["MAREN VOSS"].sure is None
    assert matched["Maren Voss"].twin is None


def test_money_out_charges_and_reversals_are_shown_and_not_matched(invoice, take, tuner):
    take(("-520.00", "Maren Voss", invoice.reference), ("-6.90", "", "fee"))
    assert waiting_matched() == []
    assert [one.amount_minor for one in bank_page().out] == [-690, -52000]
    with pytest.raises(ValidationError, match="went out"):
        bank_line_place(line=bank_page().out[0], document=invoice, by=tuner)
    take(("520.00", "Maren Voss", invoice.reference), is_reversal=True)
    assert sure() == {}
    assert len(waiting_matched()[0].candidates) == 1


@pytest.mark.parametrize(
    ("amount", "currency", "words"),
    [
        ("520.00", "USD", "2026-06-15 Maren Voss 520.00 is in USD, and .* books in EUR"),
        ("520.005", "EUR", "more decimals than EUR"),
        ("1E+20", "EUR", "is no sum of money"),
    ],
)
def test_another_currency_is_refused_by_name_and_nothing_is_kept(
    money_business, tuner, amount, currency, words
):
    rows = [
        BankRow("DE", DAY, Decimal(1), "EUR"),
        BankRow("DE", DAY, Decimal(amount), currency, payer_name="Maren Voss"),
    ]
    with pytest.raises(BankFileFault, match=words):
        bank_file_take(statement=BankStatement(BankFileKind.CAMT, rows), name="x", by=tuner)
    assert BankFile.objects.count() == BankLine.objects.count() == 0


def test_what_fits_nothing_waits_until_it_is_placed_or_set_aside_with_a_word(payer, take, tuner):
    take(("33.00", "Unknown", ""), ("44.00", "Tax office", "refund"))
    first, second = [one.line for one in waiting_matched()]
    bank_line_place(line=first, customer=payer, by=tuner)
    assert free_credit(payer) == 3300
    with pytest.raises(ValidationError, match="Say in a word"):
        bank_line_set_aside(line=second, why="  ", by=tuner)
    bank_line_set_aside(line=second, why="tax refund", by=tuner)
    assert waiting_matched() == []
    assert [one.aside_why for one in bank_page().aside] == ["tax refund"]
    with pytest.raises(ValidationError, match="set aside: bring it back"):
        bank_line_place(line=second, customer=payer, by=tuner)
    bank_line_bring_back(line=second, by=tuner)
    assert [one.line for one in waiting_matched()] == [second]
    events = TrailEntry.objects.order_by("pk").values_list("event", flat=True)
    assert list(events) == ["money.bank", "money.payment", "money.aside", "money.unaside"]


def test_a_sum_is_placed_once(invoice, payer, take, tuner):
    take(("20.00", "x", ""))
    [matched] = waiting_matched()
    bank_line_place(line=matched.line, document=invoice, by=tuner)
    for where in ({"document": invoice}, {"customer": payer}):
        with pytest.raises(ValidationError, match="placed already"):
            bank_line_place(line=matched.line, by=tuner, **where)
    with pytest.raises(ValidationError, match="placed already"):
        bank_line_set_aside(line=matched.line, why="x", by=tuner)
    assert Payment.objects.count() == 1


def test_a_payment_struck_through_lets_its_sum_wait_again(invoice, take, tuner):
    take(("520.00", "Maren Voss", invoice.reference))
    [payment] = bank_sure_place(shown=sure(), by=tuner).placed
    payment_withdraw(payment=payment, by=tuner, why="wrong")
    assert len(sure()) == 1
    [anew] = bank_sure_place(shown=sure(), by=tuner).placed
    assert anew != payment
    assert document_open(invoice) == 0


def test_a_corrected_payment_keeps_its_sum_and_takes_no_other_amount(invoice, take, tuner):
    take(("520.00", "Maren Voss", invoice.reference))
    [payment] = bank_sure_place(shown=sure(), by=tuner).placed
    values = {"payment": payment, "by": tuner, "method": "transfer", "received_on": DAY}
    with pytest.raises(ValidationError, match="only its place can change"):
        payment_correct(payment_id=uuid.uuid4(), **values, amount_minor=51000, document=invoice)
    moved = payment_correct(payment_id=uuid.uuid4(), **values, amount_minor=52000, document=None)
    assert BankLine.objects.get().payment == moved
    assert waiting_matched() == []
    assert free_credit(invoice.customer) == 52000


def test_a_credited_invoice_asks_for_nothing_and_is_said_so(invoice, take, tuner):
    credit_note_issue(invoice=invoice, reason="x", by=tuner)
    take(("520.00", "Maren Voss", invoice.reference))
    [matched] = waiting_matched()
    assert matched.sure is None
    assert matched.candidates[0].open_minor == 0


@pytest.mark.parametrize("column", ["amount_minor", "booked_on", "fingerprint", "payer_name"])
def test_the_database_refuses_to_change_what_the_bank_said(money_business, take, column):
    take(("20.00", "x", ""))
    value = {"amount_minor": 1, "booked_on": "2026-01-01"}.get(column, "other")
    with pytest.raises(IntegrityError, match="what the bank says"), transaction.atomic():
        BankLine.objects.update(**{column: value})
    with pytest.raises(IntegrityError, match="what the bank says"), transaction.atomic():
        BankLine.objects.all()._raw_delete("default")
    BankLine.objects.update(payer_name="", text="")


@pytest.mark.parametrize("sums", [1, 3, 40])
def test_matching_asks_the_same_at_any_number_of_sums(invoices, take, sums):
    found = invoices(*[f"Ada Finn{n}" for n in range(sums)])
    take(*[("260.00", one.customer.name, one.label) for one in found], payer_account="X1")
    with queries() as asked:
        page = bank_page()
    assert len(page.sure) == sums
    assert len(asked) == 9
