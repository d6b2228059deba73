"""A day being worked on a tablet: enrolled, with PINs, behind a wire that can be cut."""

import time
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect
from playwright.sync_api import Error as PlaywrightError
from playwright.sync_api import TimeoutError as PlaywrightTimeout

from jobs.acts import tablets
from jobs.acts.models import Act
from jobs.people import devices
from jobs.people.models import User
from jobs.tablet import shell
from jobs.tablet.views import COOKIE_AGE_S
from jobs.trackday.models import CrewDay, Entry
from tests.days import Day, day_build
from tests.outbox.processes import until
from tests.wire import Wire

STORE = "/static/tablet/store.js"
CONTROLLED = "() => navigator.serviceWorker.controller !== null"
WORKERS = """async () => {
  const known = await navigator.serviceWorker.getRegistration();
  return { page: location.href, scripts: Boolean(document.querySelector(".tabletbar")),
    installing: known?.installing?.state, waiting: known?.waiting?.state,
    active: known?.active?.state, caches: await caches.keys() }; }"""
KEPT_ANSWERS = """async () => {
  const days = (await caches.keys()).filter((name) => name.startsWith("day-"));
  const kept = await Promise.all(days.map(async (name) => (await caches.open(name)).keys()));
  return kept.flat().length; }"""
PINS = {"tuner": "4712", "helper": "4711"}


@pytest.fixture
def bikes() -> int:
    return 3


@pytest.fixture
def day(transactional_db, cast, bikes) -> Day:
    built = day_build(bikes=bikes)
    for name, pin in PINS.items():
        devices.pin_set(user=getattr(cast, name), pin=pin)
        CrewDay.objects.create(trackday=built.trackday, user=getattr(cast, name))
    return built


@dataclass
class Tablet:
    """One enrolled tablet: its browser, and the address behind the wire."""

    context: BrowserContext
    page: Page
    origin: str
    wire: Wire
    pins: dict[str, str] = field(default_factory=PINS.copy)

    def beside(self) -> "Tablet":
        """Another tab of the same browser."""
        return replace(self, page=self.context.new_page())

    def open(self, path: str) -> None:
        self.page.goto(self.origin + path)

    def sign_in(self, user: User) -> None:
        self.open("/tablet/")
        self.page.locator(f'button[data-person="{user.pk}"]').click()
        for digit in self.pins[user.username]:
            self.page.locator(f'[data-digit="{digit}"]').click()
        self.page.get_by_role("button", name="Take the tablet").click()
        self.page.wait_for_url(lambda url: not url.endswith("/tablet/"))

    def new_pin(self, user: User, pin: str) -> None:
        devices.pin_set(user=user, pin=pin)
        self.pins[user.username] = pin

    def take_over(self, user: User) -> None:
        """Two taps, for somebody who signed in today."""
        self.page.locator(".tabletbar a").click()
        button = self.page.locator(f'button[data-person="{user.pk}"]')
        button.click()
        expect(button).to_have_attribute("aria-pressed", "true")

    def fill_disk(self) -> None:
        """From now on the browser gives this origin no more room."""
        beside = self.context.new_page()  # the limit lasts as long as the session of this page
        session = self.context.new_cdp_session(beside)
        session.send("Storage.overrideQuotaForOrigin", {"origin": self.origin, "quotaSize": 1})
        # What room there was is believed for half a minute.
        full = """async (store) => {
             try { await (await import(store)).note("room", 1); return false; }
             catch (error) { return error.name === "QuotaExceededError"; } }"""
        until(lambda: self.run(full, STORE), patience_s=120)

    def upgrade(self) -> str:
        """A new version of everything arrives and takes over. Returns its mark."""
        _names, old = shell.shell()
        new = old[::-1]
        self.wire.rewrite = (old.encode(), new.encode())
        self.wire.mend()
        self.run(
            """async () => { const change = new Promise((done) =>
                 navigator.serviceWorker.addEventListener("controllerchange", done));
               await (await navigator.serviceWorker.ready).update(); await change; }"""
        )
        return new

    def run(self, script: str, argument: object = None) -> Any:
        """What a script of the page answers; a page that is just leaving is asked again."""
        for _ in range(20):
            try:
                return self.page.evaluate(script, argument)
            except PlaywrightError as error:
                if "context was destroyed" not in str(error):
                    raise
                self.page.wait_for_load_state()
        raise AssertionError("the page never comes to rest")

    def kept(self) -> list[dict]:
        """What is on the tablet and not acknowledged."""
        return self.run(
            """async (store) => (await (await import(store)).kept())
               .map(({ id, state, text, author, words }) =>
                 ({ id, state, text, author, words }))""",
            STORE,
        )

    def hold(self, entry: Entry, words: str) -> None:
        """Raise a hold on a bike's sheet: an act anybody may do, with words to know it by."""
        if self.page.url != f"{self.origin}/bikes/{entry.pk}/":
            self.open(f"/bikes/{entry.pk}/")
        field = self.page.locator("#hold-words")
        if not field.is_visible():
            self.page.locator("summary:has-text('Raise a hold')").click()
        field.fill(words)
        self.page.get_by_role("button", name="Stop: hold the bike").click()

    def hold_offline(self, entry: Entry, words: str) -> None:
        before = len(self.kept())
        self.hold(entry, words)
        until(lambda: len(self.kept()) == before + 1)
        self.page.get_by_text("Kept on this tablet").wait_for()

    def keep_pages(self, *paths: str) -> None:
        """See these pages once, as a service worker must have to hold them."""
        self.wait_controlled()
        for path in paths:
            self.open(path)

    def say(self) -> str:
        return self.page.locator(".tabletbar").inner_text()

    def wait_controlled(self) -> None:
        """Until the service worker answers for this page, or for the next that is opened.

        A page whose scripts did not all arrive asks for none; who works opens another soon.
        """
        for _ in range(4):
            try:
                self.page.wait_for_function(CONTROLLED, timeout=45_000)
                return
            except PlaywrightTimeout:
                found = self.run(WORKERS)
                self.page.reload()
        raise AssertionError(f"no service worker answers: {found}")

    def wait_day_kept(self) -> None:
        """Until all pages of the day are there for hours without network.

        How long that takes is the machine's matter: it fails when nothing more is being kept.
        """
        while not self._day_kept():
            self._more_kept_than(self.run(KEPT_ANSWERS))

    def _more_kept_than(self, kept: int) -> None:
        until(
            lambda: self._day_kept() or self.run(KEPT_ANSWERS) > kept,
            found=lambda: f"{kept} answers kept, and no more come",
        )
        time.sleep(1)

    def _day_kept(self) -> bool:
        done = "async (store) => (await (await import(store)).noted('kept-day'))?.done === true"
        return bool(self.run(done, STORE))

    def wait_sent(self) -> None:
        until(lambda: all(act["state"] != "unsent" for act in self.kept()))


def hold_raise(tablet: Tablet, words: str) -> None:
    """On the sheet that is open."""
    tablet.page.locator("summary", has_text="Raise a hold").click()
    tablet.page.locator("#hold-words").fill(words)
    tablet.page.get_by_role("button", name="Stop: hold the bike").click()


def held() -> list[str]:
    """What was held, in the order of acceptance."""
    acts = Act.objects.filter(kind="hold", outcome="applied").order_by("revision")
    return [act.payload["words"] for act in acts]


def enrol(context: BrowserContext, origin: str, by: User, name: str = "yellow") -> None:
    _, code = devices.device_prepare(name=name, by=by)
    device, secret = devices.device_enrol(code=code, where_from="tests")
    cookie = {"name": tablets.COOKIE, "value": f"{device.pk}.{secret}", "url": origin}
    context.add_cookies([{**cookie, "expires": time.time() + COOKIE_AGE_S}])


@pytest.fixture
def tablet(day, cast, wire, context) -> Iterator[Tablet]:
    origin = f"http://127.0.0.1:{wire.port}"
    enrol(context, origin, cast.tuner)
    return Tablet(context, context.new_page(), origin, wire)
