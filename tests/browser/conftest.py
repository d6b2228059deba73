"""Debian's chromium, driven against a live server; several people, each in a browser of his own."""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Browser, Page

from jobs.worklist.services import plans
from tests.billing.conftest import money_business, prices

__all__ = ["money_business", "prices"]

SIZES = {"phone": (390, 844), "tablet": (1180, 820), "laptop": (1440, 900)}


@pytest.fixture(autouse=True)
def _plans_are_the_same_on_any_machine(monkeypatch: pytest.MonkeyPatch) -> None:
    """A page's search ends after its iterations, not when a busy machine has no time left."""
    monkeypatch.setattr(plans, "PAGE_SEARCH_SECONDS", None)


@pytest.fixture
def person(chromium: Browser, live_server) -> Callable[..., Page]:
    """``person("tuner", password, size="tablet")``: somebody who has signed in."""

    def opened(username: str = "", password: str = "", *, size: str = "laptop") -> Page:
        width, height = SIZES[size]
        context = chromium.new_context(
            base_url=live_server.url, viewport={"width": width, "height": height}
        )
        page = context.new_page()
        page.set_default_timeout(15_000)
        page.on("console", lambda message: _refuse(message.type, message.text))
        if username:
            page.goto("/sign-in/")
            page.fill("#id_username", username)
            page.fill("#id_password", password)
            page.click("main form button")
            page.wait_for_url(re.compile(r"^(?!.*/sign-in/)"))
        return page

    return opened


def _refuse(kind: str, text: str) -> None:
    """What the content security policy stops is a fault of ours."""
    assert "Content Security Policy" not in text, text
