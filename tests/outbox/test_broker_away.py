"""A Redis that goes away and comes back: deferred work is late, and nobody restarts anything."""

import time
from datetime import timedelta

import pytest
import redis
from celery import Celery
from django.db.models.functions import Now

from jobs.outbox import messages
from jobs.outbox.models import Job
from jobs.outbox.queues import Queue
from jobs.outbox.services import job_enqueue
from tests import needs
from tests.alone import worker_index
from tests.wire import Wire

from .processes import CELERY, kill, until

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.slow, pytest.mark.redis]

AWAY_S = 4  # several tries of the worker to reach it again fail


@pytest.fixture
def wire():
    """A line to Redis that can be cut."""
    port = int(needs.redis_url().rsplit("/", 1)[0].rsplit(":", 1)[1])
    line = Wire(port)
    yield line
    line.close()


@pytest.fixture
def broker(wire, settings, monkeypatch):
    """An empty Redis database behind the line; this process sends there too."""
    number = 15 - worker_index()
    redis.Redis.from_url(f"{needs.redis_url().rsplit('/', 1)[0]}/{number}").flushdb()
    settings.REDIS_URL = f"redis://127.0.0.1:{wire.port}/{number}"
    app = Celery("sender", broker=settings.REDIS_URL, set_as_current=False)
    app.conf.broker_transport_options = settings.CELERY_BROKER_TRANSPORT_OPTIONS
    monkeypatch.setattr(messages, "current_app", app)
    yield settings.REDIS_URL
    app.close()


@pytest.fixture
def handled(register):
    register("tests.slow", lambda work: None, Queue.DOCUMENTS)


def is_done(job: Job) -> bool:
    return Job.objects.filter(pk=job.pk, done_at__isnull=False).exists()


def test_a_worker_goes_on_by_itself_each_time_redis_comes_back(
    handled, wire, broker, worker_start, tmp_path
):
    worker = worker_start(CELERY, slow_s=0, redis_url=broker)
    jobs = [job_enqueue(handler="tests.slow", payload={"name": "before"})]
    until(lambda: is_done(jobs[0]))
    for turn in ("first", "second"):
        wire.cut()
        jobs.append(job_enqueue(handler="tests.slow", payload={"name": turn}))  # does not raise
        assert Job.objects.get(pk=jobs[-1].pk).sent_at is None  # the sweep sends it
        time.sleep(AWAY_S)  # the outage itself
        assert worker.poll() is None, (tmp_path / "worker.log").read_text()
        wire.mend()
        until(
            lambda: is_done(jobs[-1]),
            found=lambda: (tmp_path / "worker.log").read_text()[-2000:],
        )
    assert worker.poll() is None
    kill(worker)


def test_a_message_lost_with_redis_is_sent_again(handled, wire, broker, worker_start, tmp_path):
    """Sent and then gone: the row is not done, and after a minute the sweep asks again."""
    job = job_enqueue(handler="tests.slow", payload={"name": "lost"})
    redis.Redis.from_url(broker).flushdb()
    Job.objects.update(sent_at=Now() - timedelta(seconds=messages.VALID_S + 1))
    worker = worker_start(CELERY, slow_s=0, redis_url=broker)
    until(lambda: is_done(job), found=lambda: (tmp_path / "worker.log").read_text()[-2000:])
    kill(worker)
