"""The page of the bank: a file chosen, the sure sums taken in one tap, the others placed."""

import datetime
import io

import pytest
from django.urls import reverse

from jobs.billing.models import BankFile, BankLine, Payment, Terms
from jobs.billing.selectors import bank as bank_selectors
from jobs.billing.selectors.ledger import free_credit
from jobs.billing.selectors.payments import document_open
from jobs.people.models import Business, TrailEntry
from jobs.tables.models import ListFormat
from tests.billing.conftest import customer_make
from tests.billing.test_bank_files import HERE, camt
from tests.queries import page_queries


def url(name: str, *args) -> str:
    return reverse(f"money:{name}", args=args)


def said(response) -> str:
    return " ".join(str(message) for message in response.context["messages"])


def file(content: bytes, name: str = "june.xml") -> io.BytesIO:
    sent = io.BytesIO(content)
    sent.name = name
    return sent


@pytest.fixture
def send(desk):
    def send(content: bytes, name: str = "june.xml", **more):
        return desk.post(url("bank"), {"file": file(content, name), **more}, follow=True)

    return send


def text(response) -> str:
    return " ".join(response.content.decode().split())


def test_before_the_first_file_the_page_says_what_to_do(desk, money_business):
    page = text(desk.get(url("bank")))
    assert "Nothing from the bank yet. Choose a statement above" in page
    assert "camt.053 (XML) or MT940" in page


def test_a_statement_is_taken_in_and_its_sure_sum_placed_in_one_tap(desk, invoice, send):
    page = send(camt())
    assert said(page).startswith("6 sums are new. 1 entry is not booked by the bank yet")
    shown = text(page)
    assert "1 payment is sure: €520.00" in shown
    assert "Money out and charges: 2" in shown
    assert desk.get(url("home")).context["waits"][-1].minor == 52000 + 26000 + 10000 + 26000
    assert url("bank") in text(desk.get(url("home")))
    line = BankLine.objects.get(amount_minor=52000)
    shown = {"sure": f"{line.pk}=document:{invoice.pk}"}
    page = desk.post(url("bank-sure"), shown, follow=True)
    assert said(page) == "1 payment placed."
    assert document_open(invoice) == 0
    assert "Placed: 1" in text(page)
    assert said(desk.post(url("bank-sure"), shown, follow=True)) == "These were placed already."
    assert Payment.objects.count() == 1


def test_the_same_file_again_changes_nothing_and_says_so(desk, invoice, send):
    send(camt())
    before = TrailEntry.objects.count()
    assert said(send(camt())).startswith("Nothing new: every sum of this file is here already.")
    assert (BankFile.objects.count(), BankLine.objects.count()) == (1, 6)
    assert TrailEntry.objects.count() == before
    overlap = (HERE / "two-days.sta").read_bytes()
    assert said(send(overlap, "two-days.sta")).startswith("4 sums are new.")
    assert said(send(overlap, "two-days.sta")).startswith("Nothing new")


def test_an_unsure_sum_is_placed_by_its_candidate_or_by_a_word(desk, invoice, payer, send):
    send(camt())
    sums = {line.payer_name: line for line in BankLine.objects.filter(amount_minor__gt=0)}
    wrong = {"where": "INV-99999"}
    page = desk.post(url("bank-place", sums["Cem Orr"].pk), wrong, follow=True)
    assert said(page) == "“INV-99999” is no document's number and no customer's name."
    page = desk.post(url("bank-place", sums["Cem Orr"].pk), {"where": "maren  voss"}, follow=True)
    assert said(page) == "Placed: Maren Voss."
    assert free_credit(payer) == 26000
    page = desk.post(
        url("bank-place", sums["DALY BEN"].pk), {"where": invoice.label.lower()}, follow=True
    )
    assert said(page) == "Placed: INV-00001."
    assert document_open(invoice) == 26000
    stale = {"candidate": "document:0"}
    page = desk.post(url("bank-place", sums["Somebody Else"].pk), stale, follow=True)
    assert said(page) == "That is no longer open: please choose again."
    candidate = {"candidate": f"document:{invoice.pk}"}
    page = desk.post(url("bank-place", sums["Maren Voss"].pk), candidate, follow=True)
    assert said(page) == "Placed: INV-00001."
    assert document_open(invoice) == -26000


def test_namesakes_are_told_apart_by_e_mail(desk, payer, send):
    other = customer_make("Maren Voss")
    other.email = "other@example.org"
    other.save()
    send(camt())
    line = BankLine.objects.get(payer_name="Somebody Else")
    page = desk.post(url("bank-place", line.pk), {"where": "Maren Voss"}, follow=True)
    assert said(page).startswith("There are several called Maren Voss")
    assert '<option value="other@example.org">' in page.content.decode()
    desk.post(url("bank-place", line.pk), {"where": "other@example.org"})
    assert free_credit(other) == 10000


def test_the_rest_stays_visible_until_it_is_set_aside_with_a_word(desk, money_business, send):
    send(camt())
    line = BankLine.objects.get(payer_name="Somebody Else")
    page = desk.post(url("bank-aside", line.pk), {"why": ""}, follow=True)
    assert said(page).startswith("Say in a word")
    assert "for the weekend" in text(desk.get(url("bank")))
    page = text(desk.post(url("bank-aside", line.pk), {"why": "a raffle"}, follow=True))
    assert "Set aside: 1" in page
    assert "a raffle" in page
    page = desk.post(url("bank-back", line.pk), follow=True)
    assert said(page) == "It waits again."
    assert "Set aside:" not in text(page)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b'<!DOCTYPE d [<!ENTITY a "x">]><d>&a;</d>', "declares a document type"),
        (b"<d", "damaged"),
        (b"", "The submitted file is empty"),
        (camt().replace(b'Ccy="EUR"', b'Ccy="USD"'), "520.00 is in USD"),
        (b"PK\x03\x04 nothing", "damaged"),
        (camt().replace(b"2026-06-15", b"0001-01-01"), "has no day that can be right"),
        (camt().replace(b"2026-06-15", b"9999-12-31"), "has no day that can be right"),
    ],
)
def test_what_cannot_be_taken_in_is_refused_in_words(money_business, send, content, words):
    page = send(content)
    assert page.status_code == 422
    assert words in text(page)
    assert BankLine.objects.count() == 0


def test_another_account_than_our_documents_name_is_said(money_business, send):
    Business.objects.update(iban="DE02120300000000202051")
    assert "This is account DE89370400440532013000; our documents name" in said(send(camt()))


def test_a_sum_of_a_closed_month_is_dated_into_the_first_open_one(desk, invoice, payer, send):
    send(camt())
    Terms.objects.update(closed_through=datetime.date(2026, 6, 30))
    line = BankLine.objects.get(payer_name="Somebody Else")
    page = desk.post(url("bank-place", line.pk), {"where": "Maren Voss"}, follow=True)
    assert said(page).endswith("That month is closed: the payment is dated 1 July 2026.")
    shown = {"sure": f"{BankLine.objects.get(amount_minor=52000).pk}=document:{invoice.pk}"}
    assert said(desk.post(url("bank-sure"), shown, follow=True)) == "1 payment placed."
    assert set(Payment.objects.values_list("received_on", flat=True)) == {datetime.date(2026, 7, 1)}


LIST = (
    "Buchungstag;Zahler;Verwendungszweck;Betrag\n"
    "15.06.2026;Voss, Maren;INV-00001;520,00\n17.06.2026;;Gebühr;-6,90\n"
).encode("cp1252")


def test_a_list_is_shown_with_its_columns_before_it_is_taken_in(desk, invoice, send):
    page = send(LIST, "umsatz.csv")
    assert BankLine.objects.count() == 0
    assert "2 sums, read like this" in text(page)
    columns = {row["column"].heading: row["name"] for row in page.context["columns_shown"]}
    form = page.context["form"]
    chosen = {
        "name": page.context["name"],
        "book": form.book_json, "shown": "0:1", "header": "1", "sheet": "0",
        columns["Buchungstag"]: "date", columns["Zahler"]: "name",
        columns["Verwendungszweck"]: "text", columns["Betrag"]: "amount",
    }  # fmt: skip
    page = desk.post(url("bank"), chosen)
    assert "Voss, Maren" in text(page)
    page = desk.post(url("bank"), {**chosen, "seen": "something else"})
    assert BankLine.objects.count() == 0
    page = desk.post(url("bank"), {**chosen, "seen": page.context["fingerprint"]}, follow=True)
    assert said(page) == "2 sums are new."
    assert BankFile.objects.get().name == "umsatz.csv"
    assert "1 payment is sure: €520.00" in text(page)
    assert ListFormat.objects.get(kind="bank").columns["zahler"] == "name"
    assert "As in your last list" in text(send(LIST, "umsatz.csv"))


def test_a_list_in_another_currency_or_with_a_wrong_cell_is_refused(money_business, send, desk):
    page = send(LIST.replace(b"520,00", b"a lot"), "umsatz.csv")
    assert "“a lot” is not a sum" in text(page)
    foreign = b"date;amount;currency\n2026-06-15;1;USD\n"
    seen = send(foreign, "a.csv").context["fingerprint"]
    page = desk.post(url("bank"), {"text": foreign.decode(), "seen": seen})
    assert "is in USD, and this business keeps its books in EUR" in text(page)
    assert BankFile.objects.count() == ListFormat.objects.count() == 0


@pytest.mark.parametrize(
    "book",
    [
        "[" * 100_000,
        '[["", "date;amount;name\\n2026-06-15;1;\\ud800"]]',
        '[["\\udfff", "date;amount\\n2026-06-15;1"]]',
        "[[1]]",
        "7",
    ],
)
def test_what_the_page_of_a_list_did_not_carry_is_refused_in_words(desk, money_business, book):
    page = desk.post(url("bank"), {"book": book, "column-²": "date", "column-9999999": "date"})
    assert page.status_code == 422
    assert "Choose the file again, please." in text(page)


def test_ticks_that_name_no_sum_place_nothing(desk, invoice, send):
    send(camt())
    ticked = {"sure": ["²=x", "9" * 5000 + "=x", "=", "x", "-1=x"]}
    assert said(desk.post(url("bank-sure"), ticked, follow=True)) == "These were placed already."
    assert Payment.objects.count() == 0


@pytest.mark.parametrize("name", ["bank", "bank-sure", "bank-place", "bank-aside", "bank-back"])
def test_only_the_office_sees_what_came_from_the_bank(signed_in, cast, name, payer):
    args = [] if name in ("bank", "bank-sure") else [1]
    for who in (cast.helper, cast.customer_a):
        assert signed_in(who).post(url(name, *args)).status_code == 403


@pytest.mark.parametrize("sums", [1, 3, 60])
def test_the_page_asks_the_same_at_any_number_of_sums(desk, invoice, send, sums):
    rows = "".join(f"2026-06-15;{n};Ada {n};x\n" for n in range(1, sums + 1))
    sent = "date;amount;name;text\n" + rows
    seen = desk.post(url("bank"), {"text": sent}).context["fingerprint"]
    desk.post(url("bank"), {"text": sent, "seen": seen})
    assert page_queries(desk, url("bank")) == 14


def test_long_lists_are_turned_page_by_page(desk, money_business, send, monkeypatch):
    monkeypatch.setattr(bank_selectors, "ON_A_PAGE", 2)
    send(camt())
    first = desk.get(url("bank"))
    assert [len(first.context["page"].unsure), len(first.context["page"].out)] == [2, 2]
    assert "Page 1 of 2" in text(first)
    assert "?unsure=2#unsure" in text(first)
    second = desk.get(url("bank"), {"unsure": "2"})
    waiting = [one.line.pk for page in (first, second) for one in page.context["page"].unsure]
    assert len(waiting) == len(set(waiting)) == 4
    assert "Money out and charges: 2" in text(second)
    for line in BankLine.objects.filter(amount_minor__gt=0)[:3]:
        desk.post(url("bank-aside", line.pk), {"why": "a raffle"})
    page = text(desk.get(url("bank"), {"aside": "2"}))
    assert "Set aside: 3" in page
    assert 'id="aside" open' in page
    assert "Page 2 of 2" in page
    assert desk.get(url("bank"), {"aside": "99", "placed": "x"}).status_code == 200
