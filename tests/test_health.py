"""``/healthz`` and ``/readyz``: what they say, and that they are answered whatever is missing."""

import json
from datetime import UTC, datetime, timedelta

import pytest
from django.db import OperationalError
from django.db.models.functions import Now

from jobs.acts import damage
from jobs.acts import health as checked
from jobs.acts.models import Act
from jobs.outbox import services, signs
from jobs.outbox.enums import ProcessPart
from jobs.outbox.models import Job
from paddock import health, readiness
from paddock.health import Health
from paddock.pages import WhenReady

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _place(settings, tmp_path, monkeypatch):
    settings.DATA_DIR = tmp_path
    monkeypatch.setattr(readiness, "in_thread", lambda ask: ask())
    monkeypatch.setattr(signs, "_signed", {})
    signs.sign(ProcessPart.WORK)


def readyz() -> tuple[int, dict]:
    status, text = Health().answer("/readyz")
    return int(status), json.loads(text)


def test_a_place_in_order_is_ready():
    names = ("migrations", "disk", "database", "queue", "clock")
    assert readyz() == (200, {"ready": True, "checks": dict.fromkeys(names, "ok")})


def failing() -> dict[str, str]:
    status, said = readyz()
    assert (status, said["ready"]) == (503, False)
    return {name: words for name, words in said["checks"].items() if words != "ok"}


def test_a_missing_migration_is_said_and_the_tables_are_not_asked(monkeypatch):
    monkeypatch.setattr(readiness, "missing_in_database", lambda: ["The database is empty."])
    assert failing() == {"migrations": "The database is empty."}


def test_a_database_that_is_away_is_said(monkeypatch):
    def away(**_options):
        raise OperationalError("no connection")

    monkeypatch.setattr(checked.transaction, "atomic", away)
    assert failing() == {"database": "The database cannot be reached."}


def test_a_damaged_database_is_not_ready():
    damage.mark()
    assert failing() == {"database": "The file of the database is damaged."}


def test_work_that_nobody_does_is_said():
    Job.objects.all().delete()
    signs.ServerProcess.objects.update(seen_at=Now() - timedelta(minutes=3))
    assert failing() == {"queue": "Deferred work is not being done."}


def test_work_that_waits_too_long_is_said_but_not_a_next_try_to_come():
    job = services.job_enqueue(handler="outbox.mail", payload={})
    Job.objects.filter(pk=job.pk).update(due_at=Now() + timedelta(minutes=9))
    assert readyz()[0] == 200
    Job.objects.filter(pk=job.pk).update(due_at=Now() - timedelta(minutes=6))
    assert failing() == {"queue": "Deferred work has waited for more than five minutes."}


def test_a_full_disk_is_said(monkeypatch):
    monkeypatch.setattr(checked, "LEAST_FREE_BYTES", 2**80)
    assert failing() == {"disk": "Less than 500 MB are free on the disk."}


def test_a_clock_that_was_set_back_is_said(tuner):
    later = datetime.now(UTC) + timedelta(hours=1)
    Act.objects.create(kind="lunch", payload={}, by=tuner, done_at=later, received_at=later)
    assert failing() == {"clock": "The clock stands before the newest act."}


def test_whoever_asks_often_is_answered_without_looking_again(monkeypatch):
    looked = []
    monkeypatch.setattr(health, "checks", lambda: looked.append(1) or [])
    one = Health()
    for _ in range(50):
        one.answer("/readyz")
    assert len(looked) == 1


def over_wsgi(path: str) -> tuple[str, dict]:
    said = []
    pages = WhenReady()
    body = pages({"PATH_INFO": path}, lambda status, headers: said.append(status))
    return said[0], json.loads(b"".join(body))


def test_both_are_answered_where_the_pages_are_not_and_under_any_name(monkeypatch):
    monkeypatch.setattr(readiness, "missing", lambda: ["The database is empty."])
    monkeypatch.setattr(readiness, "missing_in_database", lambda: ["The database is empty."])
    assert over_wsgi("/healthz") == ("200 OK", {"alive": True})
    status, said = over_wsgi("/readyz")
    assert (status, said["ready"]) == ("503 Service Unavailable", False)


def test_any_other_address_is_none_of_theirs():
    assert Health().answer("/") is None
    assert Health().answer("/readyz/") is None
