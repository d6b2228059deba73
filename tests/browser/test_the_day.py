"""The spine: two files go in, a trackday is worked, a customer's page and an invoice come out."""

import re
from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from jobs.billing.models import Document
from jobs.desk.demo.business import FIXTURES, PASSWORD, business_build
from jobs.desk.link_mail import link_url
from jobs.garage.models import Adjuster
from jobs.outbox.models import Mail
from jobs.outbox.worker import drain
from jobs.people.models import Customer
from jobs.setups.models import Adjustment
from jobs.trackday.models import Entry, Trackday
from jobs.worklist.models import TaskMark

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DATE = "2026-06-13"


@pytest.fixture(autouse=True)
def house(live_server, settings, demo):
    settings.PUBLIC_URL = live_server.url
    business_build()


def clock_to(hour: int, minute: int) -> None:
    """Put the day's own clock to a time at the venue."""
    at = datetime(2026, 6, 13, hour, minute, tzinfo=ZoneInfo("Europe/Dublin"))
    Trackday.objects.update(clock_anchor=at, clock_set_at=timezone.now(), clock_rate=1)


def bring(office: Page, kind: str, file: str) -> None:
    office.get_by_role("link", name=f"Import {kind}").click()
    office.set_input_files("#id_file", FIXTURES / file)
    office.get_by_role("button", name="Show what it would do").click()
    expect(office.get_by_text("24 new, 0 changed, 0 as they are")).to_be_visible()
    office.get_by_role("button", name=re.compile("^Write th")).click()


def number_for(cell: str) -> str:
    """A plausible number: two steps from the end of an adjuster, a usual pressure in psi."""
    if cell.startswith("count-"):
        adjuster = Adjuster.objects.get(pk=cell.removeprefix("count-"))
        return str((adjuster.lowest + 2 * adjuster.step).normalize())
    return "31"


def do(person: Page, day: Trackday, entry: Entry, task: str, button: str) -> None:
    """Open a task from the bike's page and finish it on the round."""
    person.goto(f"/day/{day.pk}/bikes/{entry.pk}/")
    before = TaskMark.objects.count()
    person.get_by_role("link", name=task).first.click()
    expect(person.locator("form.hand b").first).to_have_text(task)
    for cell in person.locator("form.hand .cell input").all():
        if not cell.input_value():
            cell.fill(number_for(cell.get_attribute("name") or ""))
    person.get_by_role("button", name=re.compile(f"^{button}")).click()
    expect(person.locator("#notices")).not_to_be_empty()
    assert TaskMark.objects.count() == before + 1, person.locator("#notices").inner_text()


def files_go_in(office: Page) -> tuple[Trackday, Entry]:
    office.get_by_role("link", name="New trackday").click()
    office.select_option("#id_venue", label="Fenholt Ring")
    office.fill("#id_name", "Open day")
    office.fill("#id_date", DATE)
    office.get_by_role("button", name="Keep").click()
    bring(office, "timetable", "timetable.csv")
    bring(office, "entries", "entries.csv")
    expect(office.get_by_role("heading", name="24 bikes")).to_be_visible()
    return Trackday.objects.get(), Entry.objects.select_related("bike__owner").get(ref="FH-01")


def arrival_and_baseline(helper: Page, day: Trackday, entry: Entry) -> None:
    helper.goto(f"/day/{day.pk}/bikes/{entry.pk}/")
    helper.get_by_role("button", name="It is here").click()
    do(helper, day, entry, "Identify, tag, photo", "Done, next")
    do(helper, day, entry, "Arrival safety", "All others pass: done")
    do(helper, day, entry, "Cold pressures", "Done, next")
    do(helper, day, entry, "Clicker count", "Done, next")
    counted = Adjustment.objects.filter(entry=entry, kind="baseline")
    assert counted.count() == entry.bike.adjusters.exclude(function="tyre_pressure").count()


def a_change(tuner: Page, entry: Entry) -> None:
    """Adjuster, step, done."""
    tuner.goto(f"/bikes/{entry.pk}/")
    tuner.locator("a.adjuster").first.click()
    tuner.locator(".change .pick:has(input[name=by]:not([disabled]))").last.click()
    tuner.get_by_role("button", name="Changed, read back").click()
    expect(tuner.locator("#notices")).to_contain_text("Front rebound")
    changed = Adjustment.objects.filter(entry=entry, kind="change", state="placed")
    assert {row.read_back == row.to_position for row in changed} == {True}


def a_delay(tuner: Page, day: Trackday, entry: Entry) -> None:
    """What it costs is shown first; confirmed, everything not yet started moves, and says so."""
    bike = f"/day/{day.pk}/bikes/{entry.pk}/"
    tuner.goto(bike)
    expect(tuner.locator(".head")).to_contain_text("until it rolls, 08:40")
    tuner.goto(f"/day/{day.pk}/crew/")
    tuner.get_by_role("button", name="Roan").click()
    tuner.goto(f"/day/{day.pk}/")
    tuner.get_by_role("button", name="15 minutes later").click()
    asked = tuner.locator("#delay15")
    # Only the work on the one bike that has come is planned, and most of it is done.
    expect(asked.locator(".cost")).to_have_text("Nothing more would be missed.")
    expect(tuner.locator(".head .warnword")).to_have_count(0)
    asked.get_by_role("button", name="Delay by 15 minutes").click()
    expect(asked).to_be_hidden()
    expect(tuner.locator(".head .warnword")).to_contain_text("15 min late")
    tuner.goto(bike)
    expect(tuner.locator(".head")).to_contain_text("until it rolls, 08:55")


def an_invoice(office: Page, day: Trackday) -> Document:
    office.goto(f"/desk/money/days/{day.pk}/")
    payer = office.locator(".payer", has_text="Maren Voss")
    payer.locator("summary").click()
    payer.get_by_role("button", name="Invoice", exact=True).click()
    office.get_by_role("button", name="Issue it").click()
    expect(office.get_by_role("button", name="Issue it")).to_have_count(0)
    drain()  # the outbox, which a thread of the served process drains in the field
    invoice = Document.objects.get(kind="invoice")
    assert invoice.number == 1
    return invoice


def the_customer_sees(customer: Page, entry: Entry, invoice: Document) -> None:
    mail = Mail.objects.get(to="maren.voss@example.org")
    customer.goto(re.search(r"http\S+", mail.text)[0])
    expect(customer.locator("main")).to_contain_text(invoice.label)
    customer.goto(link_url(entry.bike.owner))
    customer.get_by_role("button", name="Open my pages").click()
    # With one bike the pages open at it.
    expect(customer.locator("main")).to_contain_text("Front rebound, both legs")
    customer.get_by_role("link", name="All bikes, invoices and devices").click()
    customer.get_by_role("link", name=invoice.label).click()
    expect(customer.locator("main")).to_contain_text("Day support")


def another_customer_gets_nothing(stranger: Page, entry: Entry, invoice: Document) -> None:
    stranger.goto(link_url(Customer.objects.get(email="tomas.aldery@example.org")))
    stranger.get_by_role("button", name="Open my pages").click()
    expect(stranger.locator("main")).to_contain_text("Tresk 1000 RS")
    for path in (f"/my/bikes/{entry.bike_id}/", f"/my/documents/{invoice.pk}/"):
        assert stranger.goto(path).status == 404


def test_the_day_is_worked_from_two_files_to_an_invoice(person):
    office = person("greet", PASSWORD)
    day, entry = files_go_in(office)
    clock_to(7, 30)
    arrival_and_baseline(person("pim", PASSWORD, size="tablet"), day, entry)
    tuner = person("roan", PASSWORD, size="phone")
    a_change(tuner, entry)
    a_delay(tuner, day, entry)
    clock_to(16, 50)
    do(tuner, day, entry, "Hand-over", "All others pass: done")
    invoice = an_invoice(office, day)
    the_customer_sees(person(size="phone"), entry, invoice)
    another_customer_gets_nothing(person(size="phone"), entry, invoice)
