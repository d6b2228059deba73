"""What Money opens with, and why a bike is not invoiced yet."""

import datetime

import pytest
from django.urls import reverse

from jobs.billing.models import PriceItem, TaxRate
from jobs.billing.selectors.days import day_money
from jobs.billing.selectors.waiting import DayToInvoice, days_to_invoice
from jobs.billing.services.absences import entry_cancel
from jobs.billing.services.charges import charge_add
from jobs.billing.services.days import day_invoices_issue
from jobs.billing.services.deposits import deposit_request_issue, quote_accept
from jobs.billing.services.drafts import invoice_draft, quote_draft
from jobs.billing.services.issue import document_issue
from jobs.people.models import Customer
from jobs.trackday.models import Trackday
from jobs.worklist.models import Checklist, ChecklistItem
from tests.billing.conftest import customer_make, refreshed
from tests.days import DATE, day_build
from tests.queries import queries


def url(name: str, *args) -> str:
    return reverse(f"money:{name}", args=args)


def home(desk) -> dict[str, int]:
    waits = desk.get(url("home")).context["waits"]
    return {one.words: one.minor for one in waits}


def test_money_opens_with_all_that_waits(desk, day, payer, tuner, pay):
    """Two bikes at 260.00; each step moves its sum from one figure to the next."""
    assert home(desk) == {
        "to invoice": 52000, "drafts": 0, "overdue": 0, "open": 0,
        "deposits not paid": 0, "credit nobody used": 0, "from the bank, not placed": 0,
    }  # fmt: skip
    page = desk.get(url("home")).content.decode()
    assert url("day", day.trackday.pk) in page
    assert "2 bikes" in page
    first, second = refreshed(day.entries)
    quote = document_issue(
        document=quote_draft(customer=payer, entries=[first], by=tuner), by=tuner
    )
    quote_accept(quote=quote, name="x")
    deposit = deposit_request_issue(quote=quote, by=tuner)
    assert home(desk)["deposits not paid"] == 7800
    pay(deposit, 7800)
    draft = invoice_draft(customer=payer, entries=[second], by=tuner)
    found = home(desk)
    assert (found["to invoice"], found["drafts"], found["deposits not paid"]) == (26000, 26000, 0)
    long_ago = datetime.date.today() - datetime.timedelta(days=60)
    late = document_issue(document=draft, by=tuner, on=long_ago)
    found = home(desk)
    assert (found["drafts"], found["overdue"], found["open"]) == (0, 26000, 26000)
    pay(late, 27000)
    assert home(desk)["overdue"] == 0
    desk.post(url("keep-credit", late.pk))
    assert home(desk)["credit nobody used"] == 1000
    day_invoices_issue(trackday=day.trackday, by=tuner)
    found = home(desk)
    assert (found["to invoice"], found["open"]) == (0, 18200)
    page = desk.get(url("home")).content.decode()
    assert "Every day that was is invoiced." in page


def test_a_day_to_come_does_not_wait_and_a_cancelled_bike_with_its_part_does(day, tuner):
    entry_cancel(entry=day.entries[0], absence="cancelled", by=tuner, on=DATE)
    assert days_to_invoice(DATE, places=2) == [DayToInvoice(day.trackday, 2, 26000 + 20800)]
    assert days_to_invoice(DATE - datetime.timedelta(days=1), places=2) == []


@pytest.mark.parametrize(("days", "bikes"), [(1, 1), (3, 20)])
def test_what_waits_asks_the_same_at_any_size(prices, days, bikes):
    travel = PriceItem.objects.create(
        code="travel", name="Travel", kind="travel", travel="shared", price=60
    )
    prices.travel = travel
    prices.save()
    for number in range(days):
        day = day_build(bikes=bikes)
        Trackday.objects.filter(pk=day.trackday.pk).update(name=f"Day {number}")
    with queries() as asked:
        found = days_to_invoice(DATE, places=2)
    assert len(found) == days
    assert sum(one.open_minor for one in found) == days * (bikes * 26000 + 6000)
    assert len(asked) == 15


def test_each_bike_says_why_not_with_the_way_to_mend_it(desk, day, payer, tuner):
    first, second = day.entries
    other = customer_make("Ben Daly")
    Customer.objects.filter(pk=other.pk).update(street="", tax_status="reverse")
    second.payer = other
    second.save()
    page = desk.get(url("day", day.trackday.pk)).content.decode()
    assert "Ben Daly has no address" in page
    assert "Ben Daly has no VAT ID, which reverse charge needs" in page
    assert reverse("desk:customer-edit", args=[other.pk]) in page
    assert "(1 customer ready)" in page
    PriceItem.objects.filter(code="full-day").update(price=None)
    page = desk.get(url("day", day.trackday.pk)).content.decode()
    assert "Full day has no price yet." in page
    assert "Enter its price" in page
    assert "(0 customers ready)" in page
    PriceItem.objects.filter(code="full-day").update(price=260)
    TaxRate.objects.filter(code="standard").update(valid_from=DATE + datetime.timedelta(days=1))
    page = desk.get(url("day", day.trackday.pk)).content.decode()
    assert "No tax rate “standard” is valid on 2026-06-13" in page
    assert f"{url('prices')}#rates" in page
    answer = day_invoices_issue(trackday=day.trackday, by=tuner)
    assert [(entry.pk, "No tax rate" in why) for entry, why in answer.left_out] == [
        (second.pk, True), (first.pk, True),
    ]  # fmt: skip
    assert answer.left_out[0][1].startswith("Ben Daly has no address; Ben Daly has no VAT ID")


def test_the_office_invoices_a_bike_that_was_not_handed_over_and_a_tuner_hands_it_over(
    desk, signed_in, cast, day
):
    checklist = Checklist.objects.create(code="hand-over", name="Hand-over")
    checklist.packages.add(day.package)
    ChecklistItem.objects.create(
        checklist=checklist, code="list", text="Before/after list given", minutes=3,
        cadence="last", opens_from="stop", closes_from="close",
    )  # fmt: skip
    first = day.entries[0]
    sheet = reverse("board:sheet", args=[first.pk])
    page = desk.get(url("day", day.trackday.pk)).content.decode()
    assert "hand-over not done" in page
    assert sheet in page
    office = signed_in(cast.office)
    page = office.get(url("day", day.trackday.pk)).content.decode()
    assert "A tuner or helper ticks it on the board." in page
    assert sheet not in page
    both = [entry.pk for entry in day.entries]
    answer = office.post(
        url("draft", day.trackday.pk), {"entry": both, "only": first.pk}, follow=True
    )
    draft = answer.context["document"]
    assert (draft.kind, draft.total_minor) == ("invoice", 26000)
    assert {line.entry_id for line in draft.lines.all()} == {first.pk}


def test_one_bike_without_a_price_does_not_hold_up_the_other(day, tuner):
    first = day.entries[0]
    extra = PriceItem.objects.create(code="open", name="Damper rebuild", kind="labour")
    charge_add(entry=first, by=tuner, item=extra)
    answer = day_invoices_issue(trackday=day.trackday, by=tuner)
    assert [(e.pk, why) for e, why in answer.left_out] == [
        (first.pk, "Damper rebuild has no price yet.")
    ]
    assert [one.total_minor for one in answer.invoices] == [26000]
    [payer] = day_money(day.trackday, places=2)
    assert not payer.is_ready
