"""Reminders: of what is overdue only, first, second, last; one letter a customer; a preview."""

import datetime
import io

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.urls import reverse
from pypdf import PdfReader

from jobs.billing.models import Reminder, Terms
from jobs.billing.selectors.reminders import letter_about, letters
from jobs.billing.services.drafts import invoice_draft
from jobs.billing.services.issue import document_issue
from jobs.billing.services.reminders import letters_written, reminder_send, reminders_send
from jobs.outbox.models import Mail
from jobs.people.dates import business_today
from jobs.people.models import Business, Customer
from tests.billing.conftest import customer_make, refreshed
from tests.days import day_build
from tests.queries import page_queries


def url(name: str, *args) -> str:
    return reverse(f"money:{name}", args=args)


def said(response) -> str:
    return " ".join(str(message) for message in response.context["messages"])


@pytest.fixture
def overdue(tuner):
    """An invoice for each of these entries, due 16 days ago (issued 30 days ago)."""

    def overdue(entries):
        on = business_today() - datetime.timedelta(days=30)
        drafts = [
            invoice_draft(customer=entry.payer, entries=[entry], by=tuner)
            for entry in refreshed(entries)
        ]
        return [document_issue(document=draft, by=tuner, on=on, mail=False) for draft in drafts]

    return overdue


def later(days: int) -> datetime.date:
    return business_today() + datetime.timedelta(days=days)


def test_nothing_is_reminded_of_before_it_is_overdue_or_once_it_is_paid(
    desk, invoice, day, overdue, pay, tuner
):
    assert "Send a reminder" not in desk.get(url("document", invoice.pk)).content.decode()
    with pytest.raises(ValidationError, match="Nothing is overdue on INV-00001"):
        reminder_send(document=invoice, by=tuner)
    assert letter_about(invoice, invoice.due_on) is None
    assert letter_about(invoice, invoice.due_on + datetime.timedelta(days=1)) is not None
    [late] = overdue(day_build(bikes=1, customers=[customer_make("Ben Daly")]).entries)
    pay(late, 25999)
    assert reminder_send(document=late, by=tuner).open_minor == 1
    pay(late, 1)
    with pytest.raises(ValidationError, match="Nothing is overdue"):
        reminder_send(document=late, by=tuner)


def test_a_customer_with_several_gets_one_letter(desk, day, payer, overdue):
    first, second = overdue(day.entries)
    page = desk.get(url("reminders")).content.decode()
    assert "Maren Voss" in page
    assert "Send 1 reminder" in page
    assert "€520.00" in page
    page = desk.post(url("reminders"), {"customer": [payer.pk]}, follow=True)
    assert said(page) == "1 reminder goes out."
    mail = Mail.objects.get()
    assert mail.subject == f"Reminder: {first.label}, {second.label}"
    assert "this is a friendly reminder" in mail.text
    assert mail.text.count("€260.00") == 2
    assert "Please pay €520.00 by" in mail.text
    assert Reminder.objects.count() == 2
    assert "reminded lately; the next one from" in page.content.decode()
    page = desk.post(url("reminders"), {"customer": [payer.pk]}, follow=True)
    assert said(page).startswith("Nothing was sent")
    assert Mail.objects.count() == 1
    assert "reminded once" in desk.get(url("home")).content.decode()


def test_first_second_and_last_have_their_own_words(day, overdue, tuner):
    Terms.objects.update(
        reminder_days=10,
        reminder_text="Thank you!",
        reminder_second="Is anything wrong?",
        reminder_last="A fee.",
    )
    [late] = overdue(day.entries[:1])
    for number, (words, own) in enumerate(
        (
            ("a friendly reminder", "Thank you!"),
            ("our second reminder", "Is anything wrong?"),
            ("our last reminder", "A fee."),
            ("our last reminder", "A fee."),
        )
    ):
        with time_machine.travel(datetime.datetime.now(datetime.UTC), tick=False) as clock:
            clock.shift(datetime.timedelta(days=10 * number))
            letter = letter_about(late, business_today())
            text = letters_written([letter], business_today())[0].text
            assert words in text
            assert own in text
            reminder_send(document=late, by=tuner)


def test_a_second_tap_on_one_documents_reminder_sends_no_second_letter(desk, day, overdue):
    [late] = overdue(day.entries[:1])
    desk.post(url("remind", late.pk))
    page = desk.post(url("remind", late.pk), follow=True)
    assert "INV-00001 was reminded of lately; the next letter goes out from" in said(page)
    assert (Reminder.objects.count(), Mail.objects.count()) == (1, 1)


def test_the_days_are_counted_from_the_businesss_own_date(day, overdue, tuner):
    """23:30 UTC on the first is the morning of the second in Auckland."""
    Terms.objects.update(reminder_days=10)
    [late] = overdue(day.entries[:1])
    late_evening = datetime.datetime(2099, 7, 1, 23, 30, tzinfo=datetime.UTC)
    Business.objects.update(timezone="Pacific/Auckland")
    with time_machine.travel(late_evening, tick=False):
        reminder_send(document=late, by=tuner)
        [letter] = letters(business_today())
    assert letter.waits_until == datetime.date(2099, 7, 12)


def test_dates_and_sums_are_written_in_the_customers_language(day, payer, overdue):
    payer.language = "de"
    payer.save()
    overdue(day.entries[:1])
    [letter] = letters(business_today())
    text = letters_written([letter], datetime.date(2026, 10, 1))[0].text
    assert "11. Oktober 2026" in text
    assert "260,00\xa0€" in text


def test_who_has_no_address_stands_there_with_the_way_to_enter_it(desk, day, payer, overdue):
    payer.email = ""
    payer.save()
    overdue(day.entries[:1])
    page = desk.get(url("reminders")).content.decode()
    assert "no mail address" in page
    assert reverse("desk:customer-edit", args=[payer.pk]) in page
    assert reminders_send(customer_ids=[payer.pk], by=None) == []
    assert "Nothing is overdue" not in page


def test_the_next_letter_waits_for_the_days_of_the_terms(day, payer, overdue, tuner):
    Terms.objects.update(reminder_days=10)
    [late] = overdue(day.entries[:1])
    reminder_send(document=late, by=tuner)
    assert [one.waits_until for one in letters(later(9))] == [later(10)]
    assert [one.waits_until for one in letters(later(10))] == [None]


@pytest.mark.pdf
def test_the_statement_of_account_is_a_pdf(desk, day, payer, overdue, pay):
    [late] = overdue(day.entries[:1])
    pay(late, 10000)
    Customer.objects.filter(pk=payer.pk).update(tax_id="DE136695976")
    answer = desk.get(url("account-pdf", payer.pk))
    assert answer["Content-Type"] == "application/pdf"
    text = " ".join(PdfReader(io.BytesIO(answer.content)).pages[0].extract_text().split())
    for words in (
        "Statement of account",
        "Maren Voss",
        "Ireland",
        "VAT ID IE6388047V",
        "VAT ID DE136695976",
        late.label,
        "€260.00",
        "€100.00",
    ):
        assert words in text
    assert "Still to pay €160.00" in text
    since = business_today().isoformat()
    answer = desk.get(url("account-pdf", payer.pk), {"since": since})
    text = " ".join(PdfReader(io.BytesIO(answer.content)).pages[0].extract_text().split())
    assert "Balance before €260.00" in text


@pytest.mark.parametrize("bikes", [1, 3, 20])
def test_the_page_of_reminders_asks_the_same_at_any_size(desk, prices, overdue, bikes):
    people = [customer_make(f"Ada {n}") for n in range(bikes)]
    overdue(day_build(bikes=bikes, customers=people).entries)
    assert page_queries(desk, url("reminders")) == 11
