"""What is logged of an error says where it happened, never what somebody typed."""

import io
import json
import logging
from datetime import datetime, timedelta
from smtplib import SMTPRecipientsRefused

import pytest
from django.core.mail import EmailMessage
from django.db import IntegrityError
from django.urls import reverse

from jobs.outbox import worker
from jobs.outbox.models import Job
from jobs.outbox.request_id import GIVEN, request_id, under_request
from jobs.outbox.services import job_enqueue, mail_enqueue
from jobs.people.models import Customer
from paddock.logs import JsonFormatter, LineFormatter, described

WORD = "Qxzj"


@pytest.fixture
def logged(monkeypatch) -> io.StringIO:
    """What the handler of the settings writes."""
    written = io.StringIO()
    [handler] = [h for h in logging.getLogger().handlers if isinstance(h.formatter, LineFormatter)]
    monkeypatch.setattr(handler, "stream", written)
    return written


def line(message: str, *args: object, error: BaseException | None = None) -> str:
    info = (type(error), error, error.__traceback__) if error else None
    record = logging.LogRecord("jobs", logging.ERROR, __file__, 1, message, args, info)
    return LineFormatter("%(levelname)s %(message)s").format(record)


def raised() -> Exception:
    try:
        try:
            int(WORD)
        except ValueError as error:
            raise IntegrityError(f"Key (name)=({WORD}) already exists") from error
    except IntegrityError as error:
        return error


def test_an_error_is_logged_with_its_kind_and_its_place_and_without_its_message():
    text = line("An act failed: %s", "/acts/7", error=raised())
    assert WORD not in text.replace("int(WORD)", "").replace("({WORD})", "")
    for part in ("ERROR An act failed: /acts/7", "ValueError", "IntegrityError", "in raised"):
        assert part in text


def test_an_error_named_in_a_message_is_described():
    assert line("%s", ValueError(WORD)) == "ERROR ValueError"
    assert (
        line("%s: %s", "Redis", ConnectionError("refused"))
        == "ERROR Redis: ConnectionError: refused"
    )


def test_a_mail_server_that_quotes_addresses_is_not_shown():
    assert WORD not in described(SMTPRecipientsRefused({WORD: (550, b"unknown")}))


@pytest.mark.django_db
def test_a_mail_that_cannot_be_sent_names_nobody_in_the_log(monkeypatch, logged):
    def refuse(_message):
        raise SMTPRecipientsRefused({f"{WORD}@example.org": (550, b"unknown")})

    monkeypatch.setattr(EmailMessage, "send", refuse)
    mail_enqueue(to=f"{WORD}@example.org", subject=WORD, text=WORD)
    worker.drain()
    told = logged.getvalue()
    assert "smtplib.SMTPRecipientsRefused" in told
    assert WORD not in told
    assert WORD in Job.objects.get().error  # the office is told whom it could not reach


@pytest.mark.django_db
def test_a_page_that_fails_names_nobody_in_the_log(tuner, signed_in, monkeypatch, logged):
    def fail(*_args, **_more):
        raise IntegrityError(f"Key (name)=({WORD}) already exists")

    monkeypatch.setattr(Customer, "save", fail)
    browser = signed_in(tuner)
    browser.raise_request_exception = False
    url = reverse("desk:customer-new") + f"?from={WORD}"
    assert browser.post(url, {"name": WORD, "note": WORD}).status_code == 500
    told = logged.getvalue()
    assert "IntegrityError" in told
    assert "customer_new" in told
    assert WORD not in told.replace("({WORD})", "")


def as_json(message: str, *args: object, error: BaseException | None = None) -> dict[str, object]:
    info = (type(error), error, error.__traceback__) if error else None
    record = logging.LogRecord("jobs", logging.ERROR, __file__, 1, message, args, info)
    return json.loads(JsonFormatter().format(record))


def test_a_line_of_json_has_message_error_and_request():
    with under_request("0123456789abcdef"):
        line = as_json("An act failed: %s", "/acts/7", error=raised())
    assert line["message"] == "An act failed: /acts/7"
    assert (line["level"], line["logger"]) == ("ERROR", "jobs")
    assert line["request"] == "0123456789abcdef"
    assert datetime.fromisoformat(line["time"]).utcoffset() == timedelta(0)
    assert "IntegrityError" in line["error"]
    assert "in raised" in line["error"]
    assert WORD not in line["error"].replace("int(WORD)", "").replace("({WORD})", "")
    assert as_json("started")["request"] == ""
    assert "error" not in as_json("started")


def test_a_line_of_json_leaves_tokens_out_of_message_and_error():
    line = as_json("Gone: %s", "/my/open/x7Yq/", error=OSError("/shared/WzQ:1t/ is away"))
    assert line["message"] == "Gone: /my/open/…/"
    assert line["error"] == "OSError: /shared/…/ is away"


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ("3f2c9a51e7704e6cb0f4", True),
        ("a-b-c-d-e-f", True),
        ("short", False),
        ("x" * 65, False),
        ("with space and more", False),
        ('"},{"level":"INFO', False),
        ("", False),
    ],
)
def test_the_id_of_a_request_is_the_proxys_if_it_looks_like_one(client, db, given, kept):
    answer = client.get(reverse("signin"), headers={"X-Request-ID": given})
    found = answer["X-Request-ID"]
    assert (found == given) == kept
    assert GIVEN.fullmatch(found)


@pytest.mark.django_db
def test_deferred_work_is_logged_under_the_request_that_asked_for_it(monkeypatch):
    seen = []
    monkeypatch.setitem(worker.HANDLERS, "tests.seen", lambda job: seen.append(request_id()))
    with under_request("0123456789abcdef"):
        asked = job_enqueue(handler="tests.seen", payload={})
    alone = job_enqueue(handler="tests.seen", payload={})
    for job in (asked, alone):
        worker.do(job.pk)
    assert seen == ["0123456789abcdef", ""]
    assert request_id() == ""
