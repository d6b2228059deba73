"""A second tap on the same button is never a second act, however slow the server is."""

import time

import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import Locator, Page

from jobs.acts.models import Act
from jobs.board.sheet import changing, views
from jobs.setups.models import Adjustment
from tests.days import day_build
from tests.setups.writing import count, rear_rebound

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SLOW_S = 2.0
TAPS_AT_S = (0.0, 0.1, 0.4, 0.8, 1.2)


def slowed(monkeypatch, module, name: str, *, before: float = 0, after: float = 0) -> None:
    """The server's own thread takes its time around one function."""
    swift = getattr(module, name)

    def slow(*args, **kwargs):
        time.sleep(before)
        answer = swift(*args, **kwargs)
        time.sleep(after)
        return answer

    monkeypatch.setattr(module, name, slow)


@pytest.fixture
def page(chromium, live_server, cast) -> Page:
    context = chromium.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    context.set_default_timeout(20_000)
    client = Client()
    client.force_login(cast.tuner)
    value = client.cookies[settings.SESSION_COOKIE_NAME].value
    context.add_cookies(
        [{"name": settings.SESSION_COOKIE_NAME, "value": value, "url": live_server.url}]
    )
    return context.new_page()


@pytest.fixture
def entry(transactional_db, cast):
    entry = day_build(bikes=1).entries[0]
    count(cast.tuner, entry, 14)
    return entry


def tap_impatiently(page: Page, button: str) -> None:
    """Taps on the spot where the button was, whatever stands there by now."""
    box = page.locator(button).bounding_box()
    began = time.monotonic()
    for at in TAPS_AT_S:
        page.wait_for_timeout(max(0, (began + at - time.monotonic()) * 1000))
        page.mouse.click(box["x"] + 20, box["y"] + 20)


@pytest.mark.parametrize(
    ("slow", "when"),
    [
        ((changing, "act_from_form"), {"before": SLOW_S}),
        ((changing, "act_from_form"), {"after": SLOW_S}),
        ((views, "sheet_context"), {"before": SLOW_S}),
    ],
    ids=["before it is written", "before it is answered", "before the page has changed"],
)
@pytest.mark.parametrize("opened", ["as a page", "as a panel"])
def test_impatient_taps_are_one_change(page, live_server, entry, monkeypatch, slow, when, opened):
    rebound = rear_rebound(entry)
    if opened == "as a page":
        page.goto(f"{live_server.url}/bikes/{entry.pk}/change/{rebound.pk}/")
    else:
        page.goto(f"{live_server.url}/bikes/{entry.pk}/")
        page.click(f"#adjuster-{rebound.pk}")
    page.click("label.pick:has-text('−1')")
    page.wait_for_selector("#preview >> text=1 click firmer")
    slowed(monkeypatch, *slow, **when)
    posts = []
    page.on("request", lambda request: request.method == "POST" and posts.append(request.url))
    tap_impatiently(page, "button:has-text('Changed, read back')")
    page.wait_for_selector("#notices >> text=1 click firmer")
    assert Adjustment.objects.filter(kind="change").count() == 1
    assert Act.objects.count() == 1


# Puts a button that has just come under the finger.
UNDER = """([button, x, y]) => Object.assign(button.style,
  { position: "fixed", left: `${x - 20}px`, top: `${y - 20}px`, width: "40px", height: "40px",
    zIndex: 99 })"""


def tap_twice(page: Page, link: Locator, button: Locator, apart_ms: int) -> None:
    """A tap on the link, another on the same spot, where by now the button is."""
    page.evaluate("Date.now = () => 1000")
    link.scroll_into_view_if_needed()
    link.click()
    button.wait_for(state="attached")
    tap = page.evaluate("JSON.parse(sessionStorage.getItem('act-tap'))")
    x, y = tap["x"], tap["y"]
    page.evaluate(UNDER, [button.element_handle(), x, y])
    page.evaluate("later => { Date.now = () => 1000 + later }", apart_ms)
    page.mouse.click(x, y)


def test_the_second_tap_on_a_link_hits_nothing_of_the_panel_it_opened(page, live_server, entry):
    page.goto(f"{live_server.url}/bikes/{entry.pk}/")
    link = page.locator(f"#adjuster-{rear_rebound(entry).pk}")
    button = page.locator("#panel button.main:has-text('Changed, read back')")
    tap_twice(page, link, button, 200)
    page.wait_for_timeout(500)
    assert not Act.objects.exists()
    with page.expect_response(lambda answer: answer.request.method == "POST"):
        tap_twice(page, page.locator("h1"), button, 400)  # a second later it is one of its own
