"""Secure origins: https under a name of its own works without network; plain http says why not."""

import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, Playwright

from jobs.people.models import User
from tests.browsers import FLAGS
from tests.browsing import Served, sign_in
from tests.needs import CHROMIUM
from tests.tablet.conftest import Tablet, enrol, hold_raise
from tests.wire import Wire

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db(transaction=True)]

NAME = "paddock.test"
# As in README.md, Tablets: a certificate authority of one's own, and what it signs.
AUTHORITY = (
    "openssl req -x509 -newkey rsa:2048 -nodes -days 3650 -subj /CN=Van -keyout ca.key -out ca.pem"
)
CERTIFICATE = (
    "openssl req -x509 -newkey rsa:2048 -nodes -days 397 -CA ca.pem -CAkey ca.key "
    f"-subj /CN={NAME} -addext subjectAltName=DNS:{NAME} -keyout van.key -out van.pem"
)


@pytest.fixture
def certificate(tmp_path: Path) -> Path:
    for command in (AUTHORITY, CERTIFICATE):
        subprocess.run(command.split(), cwd=tmp_path, check=True, capture_output=True)
    return tmp_path


@pytest.fixture
def secure(day, certificate: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Wire]:
    """The product speaking https, behind a wire."""
    keys = ("--ssl-keyfile", str(certificate / "van.key"))
    server = Served(certificate, *keys, "--ssl-certfile", str(certificate / "van.pem"))
    between = Wire(server.port)
    yield between
    between.close()
    server.kill()


@pytest.fixture
def browser_context(playwright: Playwright) -> Iterator[BrowserContext]:
    """A browser that finds the name here and takes our own authority's word."""
    flags = [*FLAGS, f"--host-resolver-rules=MAP {NAME} 127.0.0.1", "--ignore-certificate-errors"]
    browser = playwright.chromium.launch(executable_path=CHROMIUM, args=flags)
    context = browser.new_context(viewport={"width": 1180, "height": 820})
    context.set_default_timeout(20_000)
    yield context
    browser.close()


def test_over_https_under_a_name_work_is_kept_without_network(
    secure: Wire, browser_context: BrowserContext, day, cast
):
    origin = f"https://{NAME}:{secure.port}"
    enrol(browser_context, origin, cast.tuner)
    tablet = Tablet(browser_context, browser_context.new_page(), origin, secure)
    tablet.sign_in(cast.helper)
    sheet = f"/bikes/{day.entries[0].pk}/"
    tablet.open(sheet)
    assert tablet.page.evaluate("isSecureContext && location.hostname") == NAME
    assert tablet.page.locator("#insecure").is_hidden()
    tablet.wait_controlled()
    tablet.open(sheet)
    secure.cut()
    tablet.page.reload()
    hold_raise(tablet, "oil on the disc")
    tablet.page.get_by_text("Kept on this tablet").wait_for()
    assert [act["state"] for act in tablet.kept()] == ["unsent"]
    secure.mend()
    tablet.wait_sent()
    assert tablet.kept() == []


@pytest.mark.parametrize("path", ["/day/", "/round/", "/tablet/", "/bikes/"])
def test_over_plain_http_every_page_says_in_one_sentence_what_does_not_work(
    served: Served, browser_context: BrowserContext, day, cast, path
):
    page = page_as(browser_context, f"http://{NAME}:{served.port}", cast.helper, path)
    said = page.locator("#insecure").inner_text()
    assert said.startswith("This address is not secure (http): without network nothing opens")
    assert said.count(".") == 1
    assert page.evaluate("isSecureContext") is False


def test_this_computer_itself_is_secure_and_a_customer_is_told_nothing(
    served: Served, browser_context: BrowserContext, day, cast
):
    page = page_as(browser_context, f"http://127.0.0.1:{served.port}", cast.helper, "/day/")
    assert page.locator("#insecure").is_hidden()
    page = page_as(browser_context, f"http://{NAME}:{served.port}", cast.customer_a, "/my/")
    assert page.locator("#insecure").count() == 0


def page_as(context: BrowserContext, origin: str, user: User, path: str) -> Page:
    sign_in(context, origin, user)
    page = context.new_page()
    page.goto(origin + path)
    return page
