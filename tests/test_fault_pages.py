"""A fault of the server is named on the page and in the log, with what to do about it."""

import errno
import logging
import sqlite3
import uuid

import pytest
from django.db import DatabaseError, OperationalError
from django.test import Client
from django.urls import reverse

from jobs.acts import faults
from jobs.acts.faults import REMEDIES, ServerFault
from paddock import body_bounds, fault_pages, readiness
from paddock.body_bounds import Head

pytestmark = pytest.mark.django_db


def of_sqlite(code: int) -> OperationalError:
    cause = sqlite3.OperationalError("a reason")
    cause.sqlite_errorcode = code
    error = OperationalError("a reason")
    error.__cause__ = cause
    return error


FAULTS = [
    (ServerFault.FULL, of_sqlite(sqlite3.SQLITE_FULL)),
    (ServerFault.FULL, OSError(errno.ENOSPC, "No space left on device")),
    (ServerFault.READ_ONLY, of_sqlite(sqlite3.SQLITE_READONLY)),
    (ServerFault.AWAY, of_sqlite(sqlite3.SQLITE_CANTOPEN)),
    (ServerFault.LOCKED, of_sqlite(sqlite3.SQLITE_BUSY)),
    (ServerFault.UNREADABLE, PermissionError(errno.EACCES, "Permission denied")),
    (ServerFault.DAMAGED, of_sqlite(sqlite3.SQLITE_CORRUPT)),
]


@pytest.fixture(autouse=True)
def _own_folder(settings, tmp_path, monkeypatch):
    settings.DATA_DIR = tmp_path
    monkeypatch.setattr(faults, "_logged", {})


@pytest.fixture
def fails(monkeypatch):
    """``fails(error)``: every page of the desk's list of mails meets this error."""

    def fail_with(error: Exception) -> None:
        def raised(**_options):
            raise error

        monkeypatch.setattr("jobs.desk.views.house.mails_recent", raised)

    return fail_with


@pytest.fixture
def desk(signed_in, office) -> Client:
    client = signed_in(office)
    client.raise_request_exception = False
    return client


@pytest.mark.parametrize(("fault", "error"), FAULTS)
def test_the_page_and_one_line_in_the_log_name_the_fault_and_what_to_do(
    fault, error, desk, fails, caplog
):
    fails(error)
    with caplog.at_level(logging.ERROR, logger="jobs.acts.faults"):
        first, again = (desk.get(reverse("desk:mails")) for _ in range(2))
    page = " ".join(first.content.decode().split())
    assert (first.status_code, again.status_code, first["Retry-After"]) == (503, 503, "10")
    assert str(fault.label) in page
    assert "Nothing that was confirmed before is lost." in page
    assert str(REMEDIES[fault])[:40] in page
    lines = [one.getMessage() for one in caplog.records if one.name == "jobs.acts.faults"]
    assert len(lines) == 1
    assert str(fault.label) in lines[0]
    assert str(REMEDIES[fault]) in lines[0]


def test_every_fault_has_a_remedy():
    assert set(REMEDIES) == set(ServerFault)


def test_what_is_the_programs_own_fault_stays_a_plain_500(desk, fails):
    fails(ValueError("a mistake"))
    answer = desk.get(reverse("desk:mails"))
    assert (answer.status_code, b"Something broke" in answer.content) == (500, True)


def test_a_machine_is_told_in_json(desk, fails):
    fails(of_sqlite(sqlite3.SQLITE_FULL))
    answer = desk.get(reverse("desk:mails"), headers={"Accept": "application/json"})
    assert (answer.status_code, answer.json()) == (503, {"error": ServerFault.FULL.label})


def test_an_act_of_a_tablets_queue_waits_though_no_view_was_reached(desk, monkeypatch):
    """The session cannot be read: the fault arises outside every view."""

    def away(_request):
        raise of_sqlite(sqlite3.SQLITE_CANTOPEN)

    monkeypatch.setattr("django.contrib.auth.middleware.get_user", away)
    headers = {"X-Act-Id": str(uuid.uuid4()), "X-Act-User": "office"}
    answer = desk.post(reverse("home"), headers=headers)
    assert (answer.status_code, answer.json()["outcome"]) == (503, "waits")


def test_a_page_of_a_fault_asks_the_database_nothing(django_assert_num_queries):
    with django_assert_num_queries(0):
        assert "disk is full" in fault_pages.fault_page(ServerFault.FULL)


@pytest.mark.parametrize(
    ("cookie", "origin", "title"),
    [
        (True, "", "This form is too old"),
        (False, "", "This browser keeps no cookies"),
        (True, "https://elsewhere.example", "This form came from another address"),
    ],
)
def test_a_form_that_is_not_trusted_has_a_page_of_our_own(cookie, origin, title, stranger):
    browser = Client(enforce_csrf_checks=True)
    if cookie:
        browser.get(reverse("signin"))
    headers = {"Origin": origin} if origin else {}
    answer = browser.post(reverse("signin"), {"username": "a"}, headers=headers)
    page = answer.content.decode()
    assert (answer.status_code, f"<h1>{title}</h1>" in page) == (403, True)
    assert "Nothing was changed." in page


def test_a_machine_with_an_old_token_is_told_in_json():
    browser = Client(enforce_csrf_checks=True)
    answer = browser.post(reverse("signin"), headers={"Accept": "application/json"})
    assert (answer.status_code, answer.json()) == (
        403,
        {"error": "The page is too old: load it again."},
    )


def test_a_long_request_to_a_place_without_tables_is_told_what_is_missing(monkeypatch):
    """``no such table`` is no fault of the server: the place was not set up yet."""
    monkeypatch.setattr(readiness, "missing_in_database", lambda: ["The database is empty."])
    head = Head(length=10**6, cookies="sessionid=x", is_act=False)
    status, kind, words = body_bounds.cannot_ask(head, DatabaseError("no such table"))
    assert (status, kind, words) == (503, "text/plain", "The database is empty.")
    monkeypatch.setattr(readiness, "missing_in_database", list)
    with pytest.raises(DatabaseError):
        body_bounds.cannot_ask(head, DatabaseError("a mistake of the program"))
