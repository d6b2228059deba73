"""The pages of an account in a browser: nothing axe finds, nothing cut on a phone."""

import os
import re
from typing import Any

import pyotp
import pytest
from playwright.sync_api import Page

from jobs.people.models import Passkey, SecondFactor
from tests.browser.test_every_page import CONTRAST, SUN, themed, violations, wider
from tests.conftest import PASSWORD

pytestmark = [
    pytest.mark.browser,
    pytest.mark.display,
    pytest.mark.django_db(transaction=True),
]

LOOK = os.environ.get("LOOK_DIR", "")


@pytest.fixture
def page(chromium, live_server, settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    context = chromium.new_context(base_url=live_server.url, viewport={"width": 390, "height": 844})
    opened = context.new_page()
    opened.set_default_timeout(15_000)
    return opened


def faults(page: Page, name: str) -> list[str]:
    page.set_viewport_size({"width": 390, "height": 844})
    page.evaluate("document.documentElement.dataset.theme = 'paper'")
    seen = violations(page) + themed(page, "night", CONTRAST) + themed(page, "sun", SUN)
    if LOOK:
        for theme in ("paper", "night", "sun"):
            page.evaluate("theme => { document.documentElement.dataset.theme = theme }", theme)
            for width, height in ((390, 844), (1180, 820), (1440, 900)):
                page.set_viewport_size({"width": width, "height": height})
                page.screenshot(path=f"{LOOK}/{name}-{theme}-{width}.png")
    seen += wider(page, 640) + wider(page, 320)
    page.set_viewport_size({"width": 390, "height": 844})
    return [f"{name}: {fault}" for fault in seen]


def sign_in(page: Page, password: str) -> None:
    page.goto("/sign-in/")
    page.get_by_label("Name").fill("tuner")
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").click()


def app_code() -> str:
    return pyotp.TOTP(SecondFactor.objects.get().secret).now()


def test_a_second_factor_is_switched_on_asked_for_and_recovered(page, cast):
    seen = []
    page.goto("/sign-in/")
    page.get_by_role("link", name="Password forgotten?").click()
    seen += faults(page, "forgotten")
    sign_in(page, PASSWORD)
    page.locator("details.me summary").click()
    page.get_by_role("link", name="Your account").click()
    seen += faults(page, "account")
    page.get_by_role("link", name="Change the password").click()
    seen += faults(page, "password")
    page.get_by_role("link", name="Your account").last.click()
    page.get_by_role("link", name="Switch them on").click()
    page.get_by_label("The code the app shows now").fill("000000")
    page.get_by_role("button", name="Ask for codes from now on").click()
    page.get_by_text("That is not the code").wait_for()
    seen += faults(page, "factor")
    page.get_by_label("The code the app shows now").fill(app_code())
    page.get_by_role("button", name="Ask for codes from now on").click()
    codes = page.locator(".recovery-codes li").all_inner_texts()
    assert len(codes) == 10
    seen += faults(page, "codes")
    page.get_by_role("link", name="I have written them down").click()
    page.get_by_role("link", name="Switch them off").click()
    seen += faults(page, "factor-on")
    page.context.clear_cookies()
    sign_in(page, "wrong")
    sign_in(page, PASSWORD)
    page.wait_for_url(re.compile("second-step"))
    seen += faults(page, "second-step")
    page.get_by_label("Code").fill(codes[0])
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(re.compile("/day/"))
    page.context.clear_cookies()
    for _ in range(6):
        sign_in(page, "wrong")
    page.get_by_text("Please wait a minute").wait_for()
    seen += faults(page, "waits")
    assert seen == []


def device_plugged_in(page: Page, transport: str) -> tuple[Any, dict[str, str]]:
    """A device of Chromium's own that makes and uses passkeys, and whose owner always agrees."""
    chromium = page.context.new_cdp_session(page)
    chromium.send("WebAuthn.enable")
    agrees = {"isUserVerified": True, "automaticPresenceSimulation": True}
    device = {"protocol": "ctap2", "transport": transport, "hasUserVerification": True, **agrees}
    added = chromium.send("WebAuthn.addVirtualAuthenticator", {"options": device})
    return chromium, {"authenticatorId": added["authenticatorId"]}


def add_key(page: Page, name: str) -> None:
    page.get_by_label("A name for it").fill(name)
    page.get_by_label("Your password").last.fill(PASSWORD)
    page.get_by_role("button", name="Add the key").click()


def test_passkeys_are_added_named_asked_for_and_removed(page, cast):
    seen = []
    chromium, phone = device_plugged_in(page, "internal")
    sign_in(page, PASSWORD)
    page.locator("details.me summary").click()
    page.get_by_role("link", name="Your account").click()
    page.get_by_role("link", name="Your passkeys").click()
    seen += faults(page, "passkeys-none")
    add_key(page, "my phone")
    page.get_by_role("heading", name="Recovery codes").wait_for()
    assert page.locator(".recovery-codes li").count() == 10
    page.get_by_role("link", name="I have written them down").click()
    page.get_by_role("link", name="Your passkeys").click()
    add_key(page, "my phone again")
    page.get_by_text("This device has a key of yours already").wait_for()
    chromium.send("WebAuthn.removeVirtualAuthenticator", phone)
    chromium, ring = device_plugged_in(page, "usb")
    add_key(page, "the key on the van's ring")
    page.get_by_text("“the key on the van's ring” is kept").wait_for()
    assert list(Passkey.objects.order_by("pk").values_list("name", "host")) == [
        ("my phone", "localhost"), ("the key on the van's ring", "localhost"),
    ]  # fmt: skip
    page.locator("summary", has_text="my phone").click()
    seen += faults(page, "passkeys")
    page.locator("details[open]").get_by_label("Your password").fill(PASSWORD)
    page.get_by_role("button", name="Remove the key").first.click()
    page.get_by_text("The key is removed").wait_for()

    page.context.clear_cookies()
    sign_in(page, PASSWORD)
    page.wait_for_url(re.compile("second-step"))
    seen += faults(page, "second-step-passkey")
    page.get_by_role("button", name="Use your passkey").click()
    page.wait_for_url(re.compile("/day/"))

    page.context.clear_cookies()
    sign_in(page, PASSWORD)
    page.wait_for_url(re.compile("second-step"))
    chromium.send("WebAuthn.clearCredentials", ring)
    page.get_by_role("button", name="Use your passkey").click()
    page.get_by_text("No key answered").wait_for()
    assert page.get_by_role("button", name="Use your passkey").is_enabled()
    assert seen == []
