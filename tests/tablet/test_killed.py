"""The browser itself is killed (SIGKILL, as by an empty battery): what it kept is there."""

import os
import signal
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Playwright, expect

from jobs.acts.models import Act
from tests.browsers import FLAGS
from tests.needs import CHROMIUM
from tests.outbox.processes import until
from tests.tablet.conftest import Tablet, enrol, held

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.django_db(transaction=True),
]

Start = Callable[[], BrowserContext]


@pytest.fixture
def start(tmp_path: Path, playwright: Playwright) -> Iterator[Start]:
    """Starts a browser on one profile that outlives it."""
    profile = tmp_path / "profile"

    def started() -> BrowserContext:
        (profile / "SingletonLock").unlink(missing_ok=True)  # left by the killed one
        context = playwright.chromium.launch_persistent_context(
            str(profile),
            executable_path=CHROMIUM,
            args=FLAGS,
            viewport={"width": 1180, "height": 820},
        )
        context.set_default_timeout(30_000)
        return context

    yield started
    kill(profile)


def processes(profile: Path) -> list[int]:
    """The browser on this very profile; its helpers end with it."""
    mark = f"--user-data-dir={profile}".encode()
    found = []
    for folder in Path("/proc").iterdir():
        try:
            words = (folder / "cmdline").read_bytes().split(b"\0") if folder.name.isdigit() else []
        except OSError:
            continue
        if mark in words and not any(word.startswith(b"--type=") for word in words):
            found.append(int(folder.name))
    return found


def kill(profile: Path) -> None:
    for pid in processes(profile):
        os.kill(pid, signal.SIGKILL)
    until(lambda: processes(profile) == [])


@pytest.mark.parametrize("when", ["without network", "while it sends"])
def test_a_killed_browser_loses_nothing(start: Start, day, cast, wire, tmp_path: Path, when):
    context = start()
    origin = f"http://127.0.0.1:{wire.port}"
    enrol(context, origin, cast.tuner)
    tablet = Tablet(context, context.pages[0], origin, wire)
    tablet.sign_in(cast.helper)
    entry = day.entries[0]
    tablet.keep_pages(f"/bikes/{entry.pk}/")
    context.close()  # in the evening; cookies of the last half minute would not survive a kill

    context = start()
    tablet = Tablet(context, context.pages[0], origin, wire)
    tablet.open(f"/bikes/{entry.pk}/")
    wire.cut()
    words = ["fork seal wet", "pad thin", "nut loose"]
    for word in words:
        tablet.hold_offline(entry, word)
    if when == "while it sends":
        wire.lose_answers(1)  # the first has arrived, and the tablet will never hear of it
        wire.mend()
        until(lambda: Act.objects.exists())
    kill(tmp_path / "profile")
    arrived = Act.objects.count()
    assert arrived >= 1 if when == "while it sends" else arrived == 0

    wire.cut()
    context = start()
    tablet = Tablet(context, context.pages[0], origin, wire)
    tablet.open(f"/bikes/{entry.pk}/")  # also the page is still there
    expect(tablet.page.locator(".tabletbar")).to_contain_text("unsent")
    left = tablet.page.locator(".tabletrows li")
    expect(left.last).to_contain_text("nut loose")
    wire.mend()
    tablet.wait_sent()
    assert tablet.kept() == []
    assert held() == words
    assert list(Act.objects.order_by("device_seq").values_list("device_seq", flat=True)) == [
        1,
        2,
        3,
    ]
