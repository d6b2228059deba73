"""Debian's chromium: one process for all browser tests of a worker that follow one another.

Playwright keeps an event loop running in this thread for as long as it is started, and Django
keeps the connections of code inside a loop apart from those outside. So it is stopped before
a test that needs no browser, and on both sides of that border no connection stays open.
"""

import os
from collections.abc import Iterator

import pytest
from django.db import connections
from playwright.sync_api import Browser, Playwright, expect, sync_playwright

from .needs import CHROMIUM

FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


class Shared:
    """The driver and the browser, started when first asked for."""

    def __init__(self) -> None:
        self._playwright: Playwright | None = None
        self._browser: Browser | None = None

    def playwright(self) -> Playwright:
        if self._playwright is None:
            connections.close_all()
            self._playwright = sync_playwright().start()
            # A test asks the database in the thread of the loop.
            os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
        return self._playwright

    def browser(self) -> Browser:
        if self._browser is None or not self._browser.is_connected():
            self._browser = self.playwright().chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        return self._browser

    def stop(self) -> None:
        if self._playwright is None:
            return
        if self._browser is not None:
            self._browser.close()
        connections.close_all()
        self._playwright.stop()
        self._playwright = self._browser = None
        del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


SHARED = Shared()
expect.set_options(timeout=20_000)  # a busy machine is no failure


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup(item: pytest.Item) -> None:
    if item.get_closest_marker("browser") is None:
        SHARED.stop()


@pytest.fixture(scope="session")
def _shared_browser(django_db_setup: None) -> Iterator[Shared]:
    yield SHARED
    SHARED.stop()


@pytest.fixture
def playwright(_shared_browser: Shared) -> Playwright:
    """For a test that starts a browser of its own; that one it also closes."""
    return _shared_browser.playwright()


@pytest.fixture
def chromium(_shared_browser: Shared) -> Iterator[Browser]:
    """The shared browser; what a test opens in it is closed after the test."""
    browser = _shared_browser.browser()
    yield browser
    for context in browser.contexts:
        context.close()
