"""``make pictures``: the pictures of the manual and of README.md, from the demo, in each theme.

Each is the screen of a phone (390 x 844) in WebP. The demo's clock stands still while they are
taken, so that minutes left, ages and orders are the same in every theme and at every making.
"""

import os
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

from .browsers import FLAGS
from .needs import CHROMIUM
from .shape.source import ROOT

FOLDER = ROOT / "jobs" / "manual" / "static" / "manual"
THEMES = ("paper", "night", "sun")
SIZE = {"width": 390, "height": 844}
QUALITY = 50  # of WebP: small text stays readable, a picture has 10 to 25 KB
STILL = (
    "from jobs.trackday.models import Trackday;"
    "Trackday.objects.exclude(clock_anchor=None).update(clock_rate=0)"
)


@dataclass(frozen=True)
class Picture:
    """``who`` is a door of the demo; ``path`` the first page, ``then`` the texts of the links to
    follow from it; ``at`` the element that is to be at the head, none: the page's own head."""

    name: str
    moment: str
    who: str
    path: str
    then: tuple[str, ...] = ()
    at: str = ""


PICTURES = (
    Picture("board", "midday", "roan", "/day/"),
    Picture("round", "midday", "pim", "/round/"),
    Picture("sheet", "midday", "roan", "/bikes/?number=47", at='h2:has-text("It stands at")'),
    Picture(
        "advice", "midday", "roan", "/bikes/?number=47", ("Advice",), 'h2:has-text("What was seen")'
    ),
    Picture("my-bike", "midday", "customer", "/my/"),
    Picture("desk", "midday", "greet", "/desk/"),
    Picture("evening", "evening", "roan", "/day/", ("Evening",)),
    Picture("money", "evening", "greet", "/desk/", ("Autumn open day",)),
)


@contextmanager
def demo(moment: str) -> Iterator[str]:
    """The address of a demo of its own at that moment, whose clock stands still."""
    with tempfile.TemporaryDirectory() as folder, socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
        free.close()
        variables = {**os.environ, "DEMO": "1", "DATA_DIR": folder, "DATABASE_URL": ""}
        manage = [sys.executable, "manage.py"]
        for command in (["demo", "--moment", moment], ["shell", "-c", STILL]):
            subprocess.run(
                [*manage, *command], cwd=ROOT, env=variables, check=True, stdout=subprocess.DEVNULL
            )
        server = subprocess.Popen(
            [sys.executable, "-m", "uvicorn", "paddock.asgi:application", "--port", str(port)],
            cwd=ROOT, env=variables, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        try:
            _wait(port)
            yield f"http://127.0.0.1:{port}"
        finally:
            server.terminate()
            server.wait()


def _wait(port: int) -> None:
    end = time.monotonic() + 60
    while time.monotonic() < end:
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.1)
    raise TimeoutError("the demo's server did not start within a minute")


def take(browser: Browser, origin: str, picture: Picture) -> Iterator[tuple[Path, bytes]]:
    """The file and the content of a picture in each theme."""
    context = browser.new_context(viewport=SIZE, has_touch=True, reduced_motion="reduce")
    page = context.new_page()
    page.goto(f"{origin}/sign-in/")
    page.click(f'button[name="who"][value="{picture.who}"]')
    for theme in THEMES:
        context.add_cookies([{"name": "theme", "value": theme, "url": origin}])
        _open(page, origin, picture)
        kept = BytesIO()
        Image.open(BytesIO(page.screenshot())).convert("RGB").save(
            kept, "WEBP", quality=QUALITY, method=6
        )
        yield FOLDER / f"{picture.name}-{theme}.webp", kept.getvalue()
    context.close()


def _open(page: Page, origin: str, picture: Picture) -> None:
    page.goto(origin + picture.path)
    for words in picture.then:
        page.locator("main").get_by_role("link", name=words).first.click()
        page.wait_for_load_state()
    if picture.at:
        page.locator(picture.at).first.evaluate("element => element.scrollIntoView()")
    page.wait_for_timeout(1000)  # what comes in behind the page: fragments, plots


def main(only: list[str]) -> None:
    """Take all pictures, or those of these names."""
    wanted = [one for one in PICTURES if not only or one.name in only]
    FOLDER.mkdir(parents=True, exist_ok=True)
    total = 0
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        for moment in dict.fromkeys(picture.moment for picture in wanted):
            with demo(moment) as origin:
                for picture in (one for one in wanted if one.moment == moment):
                    for path, content in take(browser, origin, picture):
                        path.write_bytes(content)
                        total += len(content)
        browser.close()
    sys.stdout.write(f"{len(wanted) * len(THEMES)} pictures, {total / 1000:.0f} KB: {FOLDER}\n")


if __name__ == "__main__":
    main(sys.argv[1:])
