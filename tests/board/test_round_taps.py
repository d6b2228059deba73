"""A task taken from the round's list is in hand, and the tap that bounced does nothing to it."""

import pytest
from django.urls import reverse
from playwright.sync_api import Locator, Page, expect

from jobs.worklist.rounds import round_of
from jobs.worklist.selectors import day_read
from tests.browsing import sign_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

BOUNCE_MS, AGAIN_MS = 120, 900


@pytest.fixture
def page(transactional_db, chromium, served, day, cast) -> Page:
    origin = f"http://127.0.0.1:{served.port}"
    context = chromium.new_context(
        base_url=origin, viewport={"width": 390, "height": 844}, has_touch=True
    )
    context.set_default_timeout(20_000)
    sign_in(context, origin, cast.tuner)
    page = context.new_page()
    page.goto(reverse("board:my-round"))
    return page


def standing(page: Page, link: Locator) -> dict[str, float]:
    """Where the link is, once the same element has stood still for two seconds.

    By then the countdowns have their words, and the list was renewed after the first plan: a
    link that is replaced between press and release is not clicked.
    """
    before, still = None, 0
    while still < 10:
        page.wait_for_timeout(200)
        now = link.evaluate(
            "link => (link.looks = (link.looks || 0) + 1,"
            " { ...link.getBoundingClientRect().toJSON(), known: link.looks > 1 })"
        )
        still = still + 1 if now["known"] and now == before else 0
        before = now
    return now


def taken(page: Page) -> tuple[float, float]:
    """Tap the last task of the list once what is under the finger stands still."""
    link = page.locator("#then > ul.stack a.task.over").last
    standing(page, link)
    wanted = link.get_attribute("href").removeprefix("?task=")
    link.evaluate("link => link.scrollIntoView({ block: 'center' })")
    box = standing(page, link)
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.click(x, y)
    expect(page.locator("#hand [name=task]")).to_have_value(wanted)
    return x, y


# Puts the card's button under the finger, as a shorter card on another phone would.
UNDER = """([button, x, y]) => Object.assign(button.style,
  { position: "fixed", left: `${x - 30}px`, top: `${y - 30}px`, width: "60px", height: "60px",
    zIndex: 99 })"""


def test_a_task_of_the_list_comes_in_hand_and_a_bounce_does_not_tick_it(page, day, cast):
    assert len(round_of(day_read(day.trackday), cast.tuner).now) > 1
    posts = []
    page.on("request", lambda request: request.method == "POST" and posts.append(request.url))
    page.evaluate("Date.now = () => 1000")
    x, y = taken(page)
    button = page.locator("#hand button[name=how][value=tick]").last
    page.evaluate(UNDER, [button.element_handle(), x, y])
    page.evaluate("later => { Date.now = () => 1000 + later }", BOUNCE_MS)
    page.mouse.click(x, y)
    page.wait_for_timeout(600)
    assert posts == []
    page.evaluate("later => { Date.now = () => 1000 + later }", AGAIN_MS)
    with page.expect_response(lambda answer: answer.request.method == "POST"):
        page.mouse.click(x, y)  # a second later it is meant
    assert len(posts) == 1
