"""Workers that are killed with -9 in the middle of the work, on the database under test."""

import json
import signal
from base64 import b64decode
from datetime import timedelta

import pytest
import redis
from celery import Celery
from django.db.models.functions import Now

from jobs.outbox import messages, selectors, services, worker
from jobs.outbox.models import Job, Mail
from jobs.outbox.queues import Queue
from tests import needs
from tests.alone import worker_index

from .processes import CELERY, EMBEDDED, began, kill, until

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.slow]


@pytest.fixture
def slow_handler(register):
    """The handlers of ``slow_worker``, so that their work may be asked for from here."""
    for name in ("tests.slow", "tests.deadly"):
        register(name, lambda work: None)
    register("tests.plan", lambda work: None, Queue.PLANNING)


def enqueue(count: int, handler: str = "tests.slow") -> list[str]:
    names = [f"work-{n}" for n in range(count)]
    for name in names:
        services.job_enqueue(handler=handler, payload={"name": name})
    return names


def expire_leases() -> None:
    """What ten seconds of silence do, and the wait before the next try."""
    Job.objects.filter(lease__isnull=False).update(leased_until=Now() - timedelta(seconds=1))
    worker.put_back_lost()
    Job.objects.filter(error__contains="ProcessDied").update(due_at=Now())


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
    assert not worker.do(Job.objects.get().pk)  # its lease still stands
    assert worker.drain() == 0
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


def test_work_that_kills_its_process_is_given_up_after_its_last_try(
    slow_handler, worker_start, tmp_path
):
    enqueue(1, "tests.deadly")
    Job.objects.update(attempts=worker.ATTEMPTS - 1)
    victim = worker_start(EMBEDDED, slow_s=0)
    until(lambda: victim.poll() == -signal.SIGKILL)
    Job.objects.filter(lease__isnull=False).update(leased_until=Now() - timedelta(seconds=1))
    heir = worker_start(EMBEDDED, slow_s=0)
    until(lambda: selectors.jobs_given_up().exists())
    assert heir.poll() is None  # it was not tried once more
    kill(heir)
    assert began(tmp_path) == ["work-0"]
    assert "ProcessDied" in Job.objects.get().error


@pytest.fixture
def broker(settings, monkeypatch):
    """The address of an empty Redis database, to which messages are sent from here too.

    Each process of a test run has a number of its own, of the 16 that Redis has.
    """
    address = f"{needs.redis_url().rsplit('/', 1)[0]}/{15 - worker_index()}"
    redis.Redis.from_url(address).flushdb()
    settings.REDIS_URL = address
    app = Celery("sender", broker=address, set_as_current=False)
    app.conf.broker_transport_options = settings.CELERY_BROKER_TRANSPORT_OPTIONS
    monkeypatch.setattr(messages, "current_app", app)
    yield address
    app.close()


@pytest.mark.redis
def test_a_killed_celery_worker_is_outlived_by_its_work(
    slow_handler, worker_start, broker, tmp_path
):
    """Its messages are lost with it: Redis would hand them on only after an hour."""
    enqueue(2)
    doomed = worker_start(CELERY, slow_s=600, redis_url=broker)
    until(lambda: began(tmp_path) == ["work-0"])
    kill(doomed)
    expire_leases()
    Job.objects.update(sent_at=Now() - timedelta(seconds=messages.VALID_S + 1))
    heir = worker_start(CELERY, slow_s=0, redis_url=broker)
    until(lambda: applied() == ["work-0", "work-1"])
    kill(heir)
    assert sorted(began(tmp_path)) == ["work-0", "work-0", "work-1"]


@pytest.mark.redis
def test_each_row_is_one_message_with_its_id_in_the_queue_of_its_kind(slow_handler, broker):
    enqueue(2)
    enqueue(1, "tests.plan")
    waiting = redis.Redis.from_url(broker)
    queues = {queue: waiting.lrange(queue, 0, -1) for queue in Queue}
    assert {queue: len(found) for queue, found in queues.items()} == {
        Queue.MAIL: 0, Queue.DOCUMENTS: 2, Queue.PLANNING: 1, Queue.BACKUPS: 0, Queue.PHOTOS: 0,
        Queue.SWEEP: 0,
    }  # fmt: skip
    (message,) = (json.loads(found) for found in queues[Queue.PLANNING])
    (arguments, _by_name, _more) = json.loads(b64decode(message["body"]))
    assert arguments == [str(Job.objects.get(handler="tests.plan").pk)]
    assert message["headers"]["task"] == "outbox.run"
    assert worker.due_without_message() == []  # the sweep sends nothing twice


@pytest.mark.redis
def test_a_worker_of_one_queue_leaves_the_others_alone(slow_handler, worker_start, broker):
    enqueue(1)
    enqueue(1, "tests.plan")
    planner = worker_start([*CELERY, "--queues", "sweep,planning"], slow_s=0, redis_url=broker)
    until(lambda: Job.objects.filter(handler="tests.plan", done_at__isnull=False).exists())
    kill(planner)
    assert Job.objects.get(handler="tests.slow").attempts == 0
    others = worker_start([*CELERY, "--queues", "documents"], slow_s=0, redis_url=broker)
    until(lambda: not selectors.jobs_waiting().exists())
    kill(others)
    assert applied() == ["work-0", "work-0"]


def test_a_broker_that_is_down_fails_no_request(slow_handler, settings, monkeypatch, caplog):
    settings.REDIS_URL = "redis://127.0.0.1:1/0"
    unreachable = Celery("down", broker=settings.REDIS_URL, set_as_current=False)
    unreachable.conf.broker_transport_options = settings.CELERY_BROKER_TRANSPORT_OPTIONS
    monkeypatch.setattr(messages, "current_app", unreachable)
    enqueue(1)
    job = Job.objects.get()
    assert job.sent_at is None
    assert worker.due_without_message() == [job]  # the next sweep finds it
    assert "The broker cannot be reached" in caplog.text
