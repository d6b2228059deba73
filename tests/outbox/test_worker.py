"""Deferred work: written with what asked for it, done once, failed in the open."""

from datetime import timedelta

import pytest
from django.db import transaction
from django.db.models.functions import Now

from jobs.outbox import nudge, selectors, services, worker
from jobs.outbox.models import Job, Mail
from jobs.outbox.registry import HANDLERS, handler

pytestmark = pytest.mark.django_db


def make_due(job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(due_at=Now(), leased_until=None)


def test_the_effect_is_written_when_the_work_is_done(register):
    register("tests.note", lambda work: lambda: Mail.objects.create(to="a@b.ie", text="done"))
    job = services.job_enqueue(handler="tests.note", payload={})
    assert worker.drain() == 1
    job.refresh_from_db()
    assert job.done_at is not None
    assert Mail.objects.count() == 1
    assert worker.drain() == 0


@pytest.mark.django_db(transaction=True)
def test_the_row_goes_with_the_transaction_that_wrote_it(register):
    register("tests.note", lambda work: None)
    with pytest.raises(RuntimeError, match="changed my mind"), transaction.atomic():
        services.job_enqueue(handler="tests.note", payload={})
        raise RuntimeError("changed my mind")
    assert Job.objects.count() == 0


def test_an_unknown_handler_is_refused_when_asked_for():
    with pytest.raises(LookupError, match=r"tests\.nobody"):
        services.job_enqueue(handler="tests.nobody", payload={})


def test_a_name_is_registered_once():
    with pytest.raises(ValueError, match="registered twice"):
        handler("outbox.mail")(HANDLERS["outbox.mail"])


def test_the_same_key_is_the_same_work(register):
    register("tests.note", lambda work: None)
    first = services.job_enqueue(handler="tests.note", payload={}, key="invoice 7")
    again = services.job_enqueue(handler="tests.note", payload={}, key="invoice 7")
    assert first.pk == again.pk
    assert worker.drain() == 1


def test_a_failure_is_kept_tried_later_and_at_last_left_to_a_person(register):
    def fail(work):
        raise OSError("the printer is on fire")

    register("tests.fail", fail)
    job = services.job_enqueue(handler="tests.fail", payload={})
    waits = []
    for _ in range(worker.ATTEMPTS):
        make_due(job)
        assert worker.drain() == 1
        job.refresh_from_db()
        waits.append(job.due_at)
    assert job.error == "OSError: the printer is on fire"
    assert job.attempts == worker.ATTEMPTS
    assert list(selectors.jobs_given_up()) == [job]
    assert worker.drain() == 0
    assert services.job_retry(job_id=job.pk) is True
    assert services.job_retry(job_id=job.pk) is False
    assert list(selectors.jobs_waiting()) == [job]


def test_an_effect_that_fails_leaves_the_row_open(register):
    def finish():
        Mail.objects.create(to="a@b.ie", text="half")
        raise OSError("disk full")

    register("tests.half", lambda work: finish)
    job = services.job_enqueue(handler="tests.half", payload={})
    worker.drain()
    job.refresh_from_db()
    assert (job.done_at, job.error, Mail.objects.count()) == (None, "OSError: disk full", 0)


def test_a_lease_is_nobody_elses_until_it_runs_out(register):
    register("tests.note", lambda work: None)
    services.job_enqueue(handler="tests.note", payload={})
    first = worker.claim()
    assert first is not None
    assert worker.claim() is None
    Job.objects.update(leased_until=Now() - timedelta(seconds=1))
    second = worker.claim()
    assert second is not None
    assert (second.pk, second.attempts) == (first.pk, 2)
    assert second.lease != first.lease


def test_a_worker_thought_dead_that_comes_back_writes_nothing(register):
    register("tests.note", lambda work: lambda: Mail.objects.create(to="a@b.ie", text="-"))
    services.job_enqueue(handler="tests.note", payload={})
    slow = worker.claim()
    Job.objects.update(leased_until=Now() - timedelta(seconds=1))
    quick = worker.claim()
    worker.run(quick)
    worker.run(slow)
    assert Mail.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_the_heartbeat_keeps_the_lease_of_long_work(register, monkeypatch):
    monkeypatch.setattr(worker, "HEARTBEAT_S", 0.01)
    seen = []

    def long(work):
        before = Job.objects.get().leased_until
        for _ in range(1000):
            if Job.objects.get().leased_until > before:
                return seen.append("renewed")
        return None

    register("tests.long", long)
    services.job_enqueue(handler="tests.long", payload={})
    assert worker.drain() == 1
    assert seen == ["renewed"]
    assert Job.objects.get().done_at is not None


def test_a_commit_wakes_the_embedded_thread(register, settings, django_capture_on_commit_callbacks):
    settings.REDIS_URL = ""
    register("tests.note", lambda work: None)
    nudge.awake.clear()
    with django_capture_on_commit_callbacks(execute=True):
        services.job_enqueue(handler="tests.note", payload={})
        assert not nudge.awake.is_set()
    assert nudge.awake.is_set()
