"""Real browsers and a real server: fixtures ``context``, ``phone``, ``served``, ``wire``.

The server is the embedded process (``paddock.asgi``) on the very database under test, so
a test may look into the book while a browser works. Use with
``pytest.mark.django_db(transaction=True)`` and ``pytest.mark.browser``.
"""

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import Browser, BrowserContext, Page

from jobs.people.models import User

from .outbox.processes import database_url
from .shape.source import ROOT
from .wire import Wire


class Served:
    """The product in a process of its own, which can be killed and started again."""

    def __init__(self, folder: Path, *options: str) -> None:
        self.folder = folder
        self.options = options
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.start()

    def start(self) -> None:
        command = [sys.executable, "-W", "ignore", "-m", "uvicorn", "paddock.asgi:application"]
        variables = {
            "DATABASE_URL": database_url(),
            "DATA_DIR": str(self.folder),
            "DJANGO_SETTINGS_MODULE": "tests.settings",
            "SECRET_KEY": "only-for-tests",
            "DEMO": "1",
            "ALLOWED_HOSTS": "127.0.0.1,localhost,paddock.test",
            "REDIS_URL": "",
        }
        with (self.folder / "server.log").open("a") as log:
            self.process = subprocess.Popen(
                [*command, "--port", str(self.port), "--log-level", "warning", *self.options],
                cwd=ROOT,
                env={**os.environ, **variables},
                stdout=log,
                stderr=log,
            )
        self._wait()

    def kill(self) -> None:
        """kill -9."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGKILL)
        self.process.wait()

    def _wait(self) -> None:
        end = time.monotonic() + 60
        while True:
            with socket.socket() as probe:
                if probe.connect_ex(("127.0.0.1", self.port)) == 0:
                    return
            assert time.monotonic() < end, (self.folder / "server.log").read_text()
            assert self.process.poll() is None, (self.folder / "server.log").read_text()
            time.sleep(0.05)


@pytest.fixture
def served(transactional_db: None, tmp_path: Path) -> Iterator[Served]:
    server = Served(tmp_path)
    yield server
    server.kill()


@pytest.fixture
def wire(served: Served) -> Iterator[Wire]:
    between = Wire(served.port)
    yield between
    between.close()


@pytest.fixture
def context(chromium: Browser) -> Iterator[BrowserContext]:
    """A fresh browser profile, the size of a tablet, gone after the test."""
    profile = chromium.new_context(viewport={"width": 1180, "height": 820})
    profile.set_default_timeout(20_000)
    yield profile
    profile.close()


PHONE = {"width": 390, "height": 844}


@dataclass
class Phone:
    """One browser the size of a phone, signed in as the tuner."""

    context: BrowserContext
    page: Page
    origin: str
    taps: int = 0
    faults: list[str] = field(default_factory=list)

    def open(self, path: str) -> None:
        self.page.goto(self.origin + path)

    def tap(self, selector: str) -> None:
        self.taps += 1
        self.page.tap(selector)

    def sign_in(self, user: User) -> None:
        sign_in(self.context, self.origin, user)

    def theme(self, name: str) -> None:
        self.context.add_cookies([{"name": "theme", "value": name, "url": self.origin}])

    def said(self) -> str:
        return self.page.inner_text("#notices")


def sign_in(context: BrowserContext, origin: str, user: User) -> None:
    """As that user, without typing a password."""
    client = Client()
    client.force_login(user)
    value = client.cookies[settings.SESSION_COOKIE_NAME].value
    context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": value, "url": origin}])


@pytest.fixture
def phone(chromium: Browser, live_server, cast) -> Iterator[Phone]:
    context = chromium.new_context(viewport=PHONE, has_touch=True, is_mobile=True)
    context.set_default_timeout(20_000)
    page = context.new_page()
    found = Phone(context, page, live_server.url)
    page.on("pageerror", lambda error: found.faults.append(str(error)))
    page.on("console", lambda said: _keep(found, said))
    found.sign_in(cast.tuner)
    yield found
    assert found.faults == []
    context.close()


def _keep(phone: Phone, said) -> None:
    """What the policy blocked, or a script complained of. That Django's test server has no
    live stream is neither: pages then ask every few seconds."""
    if said.type == "error" and "EventSource" not in said.text:
        phone.faults.append(said.text)
