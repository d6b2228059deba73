"""The screen stays on while a round or a pit-in card is open, or the page says that it may not."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from tests.days import local

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
]

LOCKS = """
  window.locks = [];
  class Lock extends EventTarget {
    release() { this.dispatchEvent(new Event("release")); }
  }
  const request = async (kind) => {
    const lock = new Lock();
    window.locks.push([kind, lock]);
    return lock;
  };
  Object.defineProperty(navigator, "wakeLock", { value: { request } });
"""
NONE = "Object.defineProperty(navigator, 'wakeLock', { value: undefined });"
CANNOT = "This screen may go dark by itself."


@pytest.fixture(params=["my-round", "pit-in"])
def place(request, build, helper) -> str:
    day = build(bikes=4, at=local(9, 21))
    if request.param == "my-round":
        return reverse("board:my-round") + "?task=11111111-1111-1111-1111-111111111111"
    return reverse("board:pit-in", args=[day.trackday.pk, helper.pk])


def test_the_screen_is_kept_on_and_asked_for_again(phone, helper, place):
    phone.sign_in(helper)
    phone.page.add_init_script(LOCKS)
    phone.open(place)
    phone.page.wait_for_function("window.locks.length === 1")
    assert phone.page.evaluate("window.locks[0][0]") == "screen"
    expect(phone.page.locator("[data-awake]")).to_be_hidden()
    phone.page.evaluate("window.locks[0][1].release()")
    expect(phone.page.locator("[data-awake]")).to_have_text(CANNOT)
    phone.page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    phone.page.wait_for_function("window.locks.length === 2")
    expect(phone.page.locator("[data-awake]")).to_be_hidden()


def test_where_the_browser_cannot_the_page_says_so_and_works(phone, helper, place):
    phone.sign_in(helper)
    phone.page.add_init_script(NONE)
    phone.open(place)
    expect(phone.page.locator("[data-awake]")).to_have_text(CANNOT)
