"""From an empty place to the first invoice and its customer, on screens alone.

One person, once on a phone and once on a laptop. Nothing is made by code but the clock of the
day. Until the first bikes are entered every tap and every field typed is counted; none is
typed twice.
"""

import io
import re
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import openpyxl
import pytest
from django.core.management import call_command
from playwright.sync_api import Browser, Locator, Page, expect

from jobs.billing.models import Document
from jobs.people.models import Customer
from jobs.setups.models import Adjustment
from jobs.trackday.models import Entry, Trackday
from jobs.worklist.models import TaskMark

from .conftest import SIZES

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.django_db(transaction=True),
]

MOST = 60  # taps and fields from nothing to the first bikes entered
ZONE = ZoneInfo("Europe/Dublin")
# An organiser's own headings, in German, with columns that are of no use here.
LIST = [
    ("Startnummer", "Vorname", "Nachname", "Gruppe", "Motorrad", "T-Shirt-Größe"),
    (7, "Ada", "Finn", "A", "Corvane 650 R", "M"),
    (12, "Ben", "Daly", "A", "Halden T9", "L"),
    (21, "Cem", "Orr", "B", "Corvane 650 R", "S"),
    (34, "Dot", "Reed", "B", "Tarn 900", "XL"),
    (40, "Eli", "Voss", "C", "Halden T9", "M"),
    (58, "Fay", "Kerr", "C", "Tarn 900", "M"),
]


@dataclass
class Hand:
    """One person's hand on one page: what it taps and types is counted."""

    page: Page
    taps: int = 0
    typed: list[str] = field(default_factory=list)

    def tap(self, target: str | Locator) -> None:
        self.taps += 1
        # A script taps faster than a hand: this tap is one of its own.
        self.page.evaluate("sessionStorage.removeItem('act-tap')")
        found = self.page.locator(target) if isinstance(target, str) else target
        found.first.click()

    def button(self, name: str) -> None:
        self.tap(self.page.get_by_role("button", name=name, exact=True))

    def link(self, name: str) -> None:
        self.tap(self.page.get_by_role("link", name=name, exact=True))

    def type(self, name: str, text: str) -> None:
        self.page.locator(f"main [name='{name}']").first.fill(text)
        self.typed.append(text)

    def told(self, words: str) -> None:
        expect(self.page.locator("#notices")).to_contain_text(words)

    @property
    def count(self) -> int:
        return self.taps + len(self.typed)


def address_of_setup() -> str:
    """The path with the one-time code that the command prints."""
    said = io.StringIO()
    call_command("setup", stdout=said)
    found = re.search(r"/first/\?code=[A-Z0-9-]+", said.getvalue())
    assert found, said.getvalue()
    return found[0]


def begins(hand: Hand) -> None:
    hand.type("business", "Corrib Springs")
    expect(hand.page.locator("[name=country]")).to_have_value("IE")  # by the browser's time zone
    hand.type("name", "Aoife")
    hand.type("password", "gravel-trap-7")
    hand.button("Begin")
    hand.told("You sign in as “aoife”")


def does_what_is_left(hand: Hand) -> None:
    """Tax, one package of its own, checklists, venue, day; the letterhead; mail and PINs later."""
    hand.tap(hand.page.get_by_label("Yes: tax is shown on my invoices"))
    hand.button("Keep")
    hand.type("name-day", "Race day")
    hand.type("price-day", "260")
    hand.tap("[name=on-setup]")
    hand.tap("[name=on-advice]")
    hand.button("Keep")
    hand.button("Use these")
    hand.type("name", "Ballymoor Circuit")
    hand.button("Keep")
    hand.button("Keep")  # the day as it is offered: next Saturday, three groups in turns
    for name, text in (("street", "Quay Road 2"), ("city", "Galway"), ("tax_id", "IE6388047V")):
        hand.type(name, text)
    hand.button("Keep")
    hand.button("Later")
    hand.button("Later")


def brings_the_list(hand: Hand) -> None:
    book = openpyxl.Workbook()
    for row in LIST:
        book.active.append(row)
    content = io.BytesIO()
    book.save(content)
    hand.link("Import entries")
    hand.taps += 2  # the file's button, and the file in the window that opens
    hand.page.locator("#id_file").set_input_files(
        {"name": "Teilnehmer.xlsx", "mimeType": "application/octet-stream",
         "buffer": content.getvalue()}
    )  # fmt: skip
    hand.button("Show what it would do")
    expect(hand.page.locator("main")).to_contain_text("6 new, 0 changed, 0 as they are")
    hand.button("Write these entries")
    expect(hand.page.locator("main")).to_contain_text("6 bikes")


def clock_to(at: datetime) -> None:
    Trackday.objects.update(clock_anchor=at, clock_set_at=datetime.now(UTC), clock_rate=0)


def day_at(hour: int) -> datetime:
    on = Trackday.objects.get().date
    return datetime(on.year, on.month, on.day, hour, tzinfo=ZONE).astimezone(UTC)


def joins_the_crew(hand: Hand) -> None:
    hand.link("Board")
    expect(hand.page.locator("#board")).to_contain_text("Nobody is in the crew of this day yet")
    hand.link("Say who is here")
    hand.button("Aoife")
    expect(hand.page.locator(".crewlist")).to_contain_text("Aoife")


def works_on(hand: Hand, entry: Entry) -> None:
    """Arrival, baseline, one change, hand-over in the evening."""
    page = hand.page
    page.goto(f"/day/{entry.trackday_id}/bikes/{entry.pk}/")
    hand.tap("button[name=kind][value=arrived]")
    hand.told("is here")
    page.goto(f"/bikes/{entry.pk}/outfit/")
    hand.tap("label.pick:has([name=has-rear-rebound])")
    hand.button("Set up, then count")
    page.locator("input[name^='at-']").first.fill("12")
    hand.button("Counted")
    expect(page.locator("#sheet")).to_contain_text("12 out")
    hand.tap("a.adjuster")
    hand.tap("label.pick:has-text('−2')")
    page.fill("#expectation", "one movement, then at rest")
    hand.button("Changed, read back")
    hand.told("from 12 out to 10 out: 2 clicks firmer")
    clock_to(day_at(17) + timedelta(minutes=10))
    page.goto(f"/day/{entry.trackday_id}/bikes/{entry.pk}/")
    hand.tap(page.get_by_role("link", name="Hand-over"))
    with page.expect_response(lambda answer: "/rounds/tick/" in answer.url):
        hand.tap("form.hand [name=how][value='rest passes']")
    assert TaskMark.objects.filter(entry=entry, item__code="hand-over", mark="done").exists()


def bills(hand: Hand, entry: Entry) -> Document:
    """A draft made before the address is known, refused by name, then issued with it."""
    page = hand.page
    page.goto(f"/desk/money/days/{entry.trackday_id}/")
    of_payer = page.locator("form").filter(has=page.locator(f"[name=entry][value='{entry.pk}']"))
    hand.tap(page.locator(".payer > summary", has_text="Ada Finn"))
    hand.tap(of_payer.get_by_role("button", name="Invoice"))
    draft = page.url
    hand.button("Issue it")
    hand.told("Ada Finn has no address: enter it on the customer's page, then issue.")
    page.goto(f"/desk/customers/{entry.payer_id}/edit/")
    hand.type("street", "Harbour Row 5")
    hand.type("city", "Cork")
    hand.button("Keep")
    page.goto(draft)
    expect(page.locator("main")).to_contain_text("Harbour Row 5")
    hand.button("Issue it")
    hand.told("INV-00001 is issued.")
    return Document.objects.get()


def customers_link(hand: Hand, customer: Customer) -> str:
    hand.page.goto(f"/desk/customers/{customer.pk}/")
    hand.button("Make a link")
    hand.told("Hand this link over yourself")
    found = re.search(r"/my/\S+", hand.page.locator("#notices").inner_text())
    assert found
    return found[0]


@pytest.fixture
def browser_of(chromium: Browser, live_server) -> Callable[[str], Page]:
    def opened(size: str) -> Page:
        width, height = SIZES[size]
        context = chromium.new_context(
            base_url=live_server.url,
            viewport={"width": width, "height": height},
            timezone_id="Europe/Dublin",
        )
        page = context.new_page()
        page.set_default_timeout(20_000)
        return page

    return opened


@pytest.mark.parametrize("size", ["phone", "laptop"])
def test_from_an_empty_place_to_the_first_invoice(browser_of, size):
    page = browser_of(size)
    hand = Hand(page)
    page.goto(address_of_setup())
    begins(hand)
    does_what_is_left(hand)
    brings_the_list(hand)
    twice = {text for text, times in Counter(hand.typed).items() if times > 1}
    assert (len(hand.typed), hand.taps, twice) == (9, 17, set()), hand.typed
    assert hand.count < MOST

    clock_to(day_at(8))
    joins_the_crew(hand)
    entry = Entry.objects.select_related("payer").get(number="7")
    works_on(hand, entry)
    [moved] = Adjustment.objects.filter(kind="change")
    assert (moved.from_position, moved.to_position) == (12, 10)
    invoice = bills(hand, entry)
    assert (invoice.buyer["street"], invoice.buyer["city"]) == ("Harbour Row 5", "Cork")
    assert (invoice.gross_minor, invoice.tax_minor) == (26000, 4862)  # 260 / 1.23 by hand
    assert invoice.seller["street"] == "Quay Road 2"

    link = customers_link(hand, entry.payer)
    own = browser_of(size)
    own.goto(link)
    own.get_by_role("button", name="Open my pages").click()
    own.wait_for_url("**/my/bikes/**")
    expect(own.locator("main")).to_contain_text("Corvane 650 R")
    expect(own.locator("main")).to_contain_text("Invoice INV-00001")
