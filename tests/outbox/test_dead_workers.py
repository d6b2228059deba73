"""Workers that are killed with -9 in the middle of the work, on the database under test."""

from datetime import timedelta

import pytest
import redis
from celery import Celery
from django.db.models.functions import Now

from jobs.outbox import nudge, selectors, services, worker
from jobs.outbox.models import Job, Mail
from tests import needs

from .processes import CELERY, EMBEDDED, began, kill, until

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.slow]


@pytest.fixture
def slow_handler(register):
    register("tests.slow", lambda work: None)  # so that it may be enqueued from here


def enqueue(count: int) -> list[str]:
    names = [f"work-{n}" for n in range(count)]
    for name in names:
        services.job_enqueue(handler="tests.slow", payload={"name": name})
    return names


def expire_leases() -> None:
    """What ten seconds of silence do."""
    Job.objects.filter(lease__isnull=False).update(leased_until=Now() - timedelta(seconds=1))


def applied() -> list[str]:
    return sorted(Mail.objects.values_list("subject", flat=True))


def test_work_of_a_killed_worker_is_done_by_the_next_exactly_once(
    slow_handler, worker_start, tmp_path
):
    enqueue(1)
    doomed = worker_start(EMBEDDED, slow_s=600)
    until(lambda: began(tmp_path) == ["work-0"])
    kill(doomed)
    assert applied() == []
    assert worker.claim() is None  # its lease still stands
    expire_leases()
    heir = worker_start(EMBEDDED, slow_s=0)
    until(lambda: applied() == ["work-0"])
    kill(heir)
    assert began(tmp_path) == ["work-0", "work-0"]


def test_a_storm_of_kills_loses_nothing_and_applies_nothing_twice(
    slow_handler, worker_start, tmp_path
):
    names = enqueue(30)
    for kills in range(3):
        pair = [worker_start(EMBEDDED, slow_s=0.05) for _ in range(2)]
        until(lambda wanted=5 * (kills + 1): len(began(tmp_path)) >= wanted)
        for process in pair:
            kill(process)
        expire_leases()
    last = worker_start(EMBEDDED, slow_s=0)
    until(lambda: not selectors.jobs_waiting().exists())
    kill(last)
    assert applied() == sorted(names)


@pytest.mark.redis
def test_a_killed_celery_worker_is_outlived_by_its_work(slow_handler, worker_start, tmp_path):
    address = needs.redis_url().rsplit("/", 1)[0] + "/11"
    redis.Redis.from_url(address).flushdb()
    enqueue(2)
    doomed = worker_start(CELERY, slow_s=600, redis_url=address)
    until(lambda: began(tmp_path) == ["work-0"])
    kill(doomed)
    expire_leases()
    heir = worker_start(CELERY, slow_s=0, redis_url=address)
    until(lambda: applied() == ["work-0", "work-1"])
    kill(heir)
    assert sorted(began(tmp_path)) == ["work-0", "work-0", "work-1"]


def test_a_broker_that_is_down_fails_no_request(slow_handler, settings, monkeypatch, caplog):
    settings.REDIS_URL = "redis://127.0.0.1:1/0"
    unreachable = Celery("down", broker=settings.REDIS_URL, set_as_current=False)
    unreachable.conf.broker_transport_options = settings.CELERY_BROKER_TRANSPORT_OPTIONS
    monkeypatch.setattr(nudge, "current_app", unreachable)
    enqueue(1)
    assert Job.objects.count() == 1
    assert "The broker cannot be reached" in caplog.text
