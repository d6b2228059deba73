"""A sound and a shake for a bike of one's own round: only if wanted, only then."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from tests.acts.doing import do
from tests.browser.at_work import CARDS_LEFT
from tests.browsing import sign_in
from tests.days import local
from tests.queries import page_queries

pytestmark = [pytest.mark.django_db(transaction=True)]

# Counts what would be heard and felt.
EARS = """
window.heard = []; window.felt = [];
const make = AudioContext.prototype.createOscillator;
AudioContext.prototype.createOscillator = function () {
  const tone = make.call(this);
  const start = tone.start.bind(tone);
  tone.start = (at) => { window.heard.push(tone.frequency.value); start(at); };
  return tone;
};
navigator.vibrate = (shakes) => { window.felt.push(shakes); return true; };
"""


@pytest.fixture
def round_page(served, build, context, cast):
    """The helper's round while group A is out."""
    day = build(bikes=4, at=local(9, 17))
    origin = f"http://127.0.0.1:{served.port}"
    sign_in(context, origin, cast.helper)
    page = context.new_page()
    page.add_init_script(EARS)
    page.add_init_script(CARDS_LEFT)
    page.goto(origin + reverse("board:my-round"))
    return page, day


def menu(page) -> None:
    page.locator(".me summary").click()


@pytest.mark.browser
def test_nothing_sounds_until_it_is_switched_on(round_page, cast):
    page, day = round_page
    menu(page)
    expect(page.locator("[data-chimes]")).to_have_text("Sounds: off")
    do("hold", cast.tuner, day.trackday, entry=day.entries[0].pk, words="oil on the disc")
    page.wait_for_timeout(1500)
    assert page.evaluate("[heard, felt]") == [[], []]


@pytest.mark.browser
def test_a_bike_of_mine_that_comes_in_or_is_held_is_heard_and_felt(round_page, cast):
    page, day = round_page
    menu(page)
    with page.expect_response("**/round/mine/"):
        page.locator("[data-chimes]").click()
    expect(page.locator("[data-chimes]")).to_have_attribute("aria-pressed", "true")
    assert page.evaluate("heard") == [587, 880]  # as it will sound
    page.evaluate("heard.length = felt.length = 0")
    do("bike in", cast.tuner, day.trackday, entry=day.entries[0].pk)
    page.wait_for_function("() => heard.length === 2")
    assert page.evaluate("[heard, felt]") == [[587, 880], [[80]]]
    do("hold", cast.tuner, day.trackday, entry=day.entries[0].pk, words="oil on the disc")
    page.wait_for_function("() => heard.length === 4")
    assert page.evaluate("felt.at(-1)") == [140, 80, 140]
    page.reload()
    menu(page)
    expect(page.locator("[data-chimes]")).to_have_text("Sounds: on")


@pytest.mark.parametrize("bikes", [4, 24])
def test_looking_costs_the_same_at_any_size(build, bikes, signed_in, helper):
    build(bikes=bikes)
    browser = signed_in(helper)
    browser.get(reverse("board:mine"))
    assert page_queries(browser, reverse("board:mine")) == 21
