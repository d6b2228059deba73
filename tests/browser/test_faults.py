"""Pages that say what is wrong, in a browser: every theme, every size, nothing axe finds."""

import errno

import pytest
from django.db import OperationalError

from jobs.acts import faults as server_faults
from tests.account.test_looks import faults
from tests.conftest import PASSWORD

pytestmark = [
    pytest.mark.browser,
    pytest.mark.display,
    pytest.mark.django_db(transaction=True),
]


@pytest.fixture
def failing(monkeypatch, settings, tmp_path):
    """``failing(error)``: the desk's list of mails meets it from now on."""
    settings.DATA_DIR = tmp_path
    monkeypatch.setattr(server_faults, "_logged", {})

    def fail_with(error: Exception) -> None:
        def raised(**_options):
            raise error

        monkeypatch.setattr("jobs.desk.views.house.mails_recent", raised)

    return fail_with


@pytest.mark.parametrize(
    ("error", "name", "words"),
    [
        (OSError(errno.ENOSPC, "No space left on device"), "full", "disk is full"),
        (OperationalError("the connection is closed"), "away", "cannot be reached"),
        (
            PermissionError(errno.EACCES, "Permission denied"),
            "unreadable",
            "cannot be read or written",
        ),
    ],
)
def test_a_fault_of_the_server_is_named_and_what_to_do(person, failing, office, error, name, words):
    page = person(office.username, PASSWORD)
    failing(error)
    answer = page.goto("/desk/mail/")
    assert answer.status == 503
    assert words.casefold() in page.locator("body").inner_text().casefold()
    assert faults(page, f"fault-{name}") == []


@pytest.mark.parametrize(
    ("cookies", "name", "words"),
    [
        ([], "no-cookie", "This browser keeps no cookies"),
        ([{"name": "csrftoken", "value": "b" * 32}], "old", "This form is too old"),
    ],
)
def test_a_form_that_is_not_trusted_says_why_and_leads_on(person, cast, cookies, name, words):
    page = person()
    page.goto("/sign-in/")
    page.fill("#id_username", "tuner")
    page.fill("#id_password", PASSWORD)
    page.context.clear_cookies()
    page.context.add_cookies([one | {"url": page.url} for one in cookies])
    page.click("main form button")
    page.get_by_role("heading", name=words).wait_for()
    assert faults(page, f"csrf-{name}") == []
    page.get_by_role("link", name="To the start").click()
    page.get_by_role("heading", name="Sign in").wait_for()
