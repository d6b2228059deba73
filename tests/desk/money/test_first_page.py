"""The desk's first page: what waits, from every room, and the page that settles it."""

import datetime

import pytest
from django.urls import reverse

from jobs.billing.models import Document
from jobs.billing.services.days import day_invoices_issue
from jobs.billing.services.deposits import deposit_request_issue, quote_accept
from jobs.billing.services.drafts import invoice_draft, quote_draft
from jobs.billing.services.issue import document_issue
from jobs.outbox import services as outbox
from jobs.outbox.models import Job
from jobs.trackday.models import CrewDay, Session, Trackday
from tests.billing.conftest import customer_make, refreshed
from tests.board.test_round_on_one_screen import HIDDEN
from tests.days import day_build
from tests.desk.test_server import given_up
from tests.queries import page_queries
from tests.setups.test_changes import change, count

HOME = reverse("desk:home")


def told(desk) -> dict[str, tuple[str, str]]:
    """By what waits: what is said of it, and where its verb leads."""
    return {line.what: (line.more, line.page) for line in desk.get(HOME).context["lines"]}


@pytest.fixture
def moved(day):
    """The day, moved to a date counted from today: quotes are for days to come."""

    def move(days: int) -> None:
        day.trackday.date = datetime.date.today() + datetime.timedelta(days=days)
        day.trackday.save(update_fields=["date"])

    return move


def quote_issue(entry, payer, tuner) -> Document:
    draft = quote_draft(customer=payer, entries=[entry], by=tuner)
    return document_issue(document=draft, by=tuner)


def test_the_sum_to_invoice_leads_to_the_newest_day(desk, day, tuner):
    page = desk.get(HOME)
    assert page.context["to_invoice_minor"] == 52000
    assert "€520.00" in page.content.decode()
    assert reverse("money:day", args=[day.trackday.pk]) in page.content.decode()
    day_invoices_issue(trackday=day.trackday, by=tuner)
    page = desk.get(HOME)
    assert page.context["to_invoice_minor"] == 0
    assert page.context["money"].open_minor == 52000
    assert "Every day that was is invoiced." in page.content.decode()


def test_a_quote_waits_until_it_is_answered_then_its_deposit_until_it_is_paid(
    desk, day, payer, tuner, pay, moved
):
    moved(7)
    quote = quote_issue(refreshed(day.entries)[0], payer, tuner)
    assert told(desk) == {
        f"Quote without an answer: Maren Voss, {quote.label}": (
            "€260.00", reverse("money:document", args=[quote.pk]),
        ),
    }  # fmt: skip
    quote_accept(quote=quote, name="Maren Voss")
    deposit = deposit_request_issue(quote=quote, by=tuner)
    ((what, (more, page)),) = told(desk).items()
    assert what == f"Deposit not paid: Maren Voss, {deposit.label}"
    assert more.startswith("€78.00, due ")
    assert page == reverse("money:document", args=[deposit.pk]) + "#pay"
    pay(deposit, 7800)
    assert told(desk) == {}


def test_a_quote_for_a_past_day_no_longer_waits(desk, day, payer, tuner, moved):
    quote_issue(refreshed(day.entries)[0], payer, tuner)
    moved(-1)
    assert told(desk) == {}


def test_many_quotes_are_one_line_that_leads_to_their_list(desk, day, tuner, moved):
    moved(7)
    entries = refreshed(day_build(bikes=4, customers=[customer_make("Ben Daly")]).entries)
    Trackday.objects.update(date=datetime.date.today() + datetime.timedelta(days=7))
    quotes = [quote_issue(entry, entry.payer, tuner) for entry in refreshed(entries)]
    lists = reverse("money:home")
    assert told(desk) == {"4 quotes have no answer": ("€1,040.00", f"{lists}#quotes")}
    page = desk.get(lists).content.decode()
    assert 'id="quotes"' in page
    assert all(f"{quote.label}, Ben Daly" in page for quote in quotes)


def test_drafts_overdue_invoices_and_unused_credit_wait(desk, day, payer, tuner, pay):
    first, second = refreshed(day.entries)
    invoice_draft(customer=payer, entries=[second], by=tuner)
    long_ago = datetime.date.today() - datetime.timedelta(days=60)
    draft = invoice_draft(customer=payer, entries=[first], by=tuner)
    late = document_issue(document=draft, by=tuner, on=long_ago)
    money = reverse("money:home")
    assert told(desk) == {
        "1 invoice is overdue": ("€260.00", reverse("money:reminders")),
        "1 draft is not issued": ("€260.00", f"{money}#drafts"),
    }
    pay(late, 27000)
    desk.post(reverse("money:keep-credit", args=[late.pk]))
    assert told(desk)["1 customer has unused credit"] == ("€10.00", f"{money}#unused")


def test_a_change_that_is_not_placed_leads_to_its_bike(desk, day, tuner):
    entry = day.entries[0]
    count(tuner, entry, 14)
    change(tuner, entry, 12, 11)
    what = f"{entry.number} {entry.group.letter}: a change is not placed"
    assert told(desk)[what][1] == reverse("board:sheet", args=[entry.pk])


def test_mail_and_other_work_that_failed_are_told_apart(desk, day):
    given_up()
    job = outbox.job_enqueue(handler="billing.file", payload={})
    Job.objects.filter(pk=job.pk).update(given_up_at=job.due_at)
    assert told(desk) == {
        "1 mail did not go out": ("", reverse("desk:mails")),
        "1 piece of deferred work was given up.": ("", reverse("desk:server")),
    }


def test_a_day_to_come_says_what_it_lacks(desk, day, moved):
    moved(3)
    CrewDay.objects.filter(trackday=day.trackday).delete()
    assert "no crew" in desk.get(HOME).content.decode()
    Session.objects.filter(trackday=day.trackday).delete()
    assert "no timetable, no crew" in desk.get(HOME).content.decode()


def test_past_days_stand_by_pages(desk, prices):
    venue = day_build(bikes=1).trackday.venue
    for number in range(45):
        date = datetime.date(2025, 1, 1) + datetime.timedelta(days=number)
        Trackday.objects.create(venue=venue, name=f"Club day {number}", date=date)
    days = reverse("desk:trackdays")
    first, second = (desk.get(days, {"page": n}).content.decode() for n in (1, 2))
    assert "Page 1 of 2" in first
    assert "Club day 44" in first
    assert "Club day 0" not in first
    assert 'href="?page=2"' in first
    assert "Club day 0" in second
    assert page_queries(desk, days) == 6
    assert "Club day 44" in desk.get(HOME).content.decode()
    assert "Club day 30" not in desk.get(HOME).content.decode()


@pytest.mark.parametrize("bikes", [1, 3, 60])
def test_the_first_page_costs_the_same_queries_at_any_size(desk, prices, bikes):
    day_build(bikes=bikes)
    assert page_queries(desk, HOME) == 33


@pytest.mark.browser
@pytest.mark.display
@pytest.mark.django_db(transaction=True)
def test_on_a_laptop_what_waits_needs_no_scrolling(phone, day, payer, tuner):
    quote_issue(refreshed(day.entries)[0], payer, tuner)
    entry = day.entries[0]
    count(tuner, entry, 14)
    change(tuner, entry, 12, 11)
    phone.page.set_viewport_size({"width": 1440, "height": 900})
    phone.open(HOME)
    page = phone.page
    page.get_by_text("a change is not placed").wait_for()
    assert page.evaluate(HIDDEN, ".toinvoice .btn, .lines a, .sums dd") == []
    page.get_by_role("link", name="To the bike").click()
    page.wait_for_url(f"**{reverse('board:sheet', args=[entry.pk])}")
