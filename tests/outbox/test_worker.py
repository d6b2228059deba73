"""Deferred work: written with what asked for it, done once, failed in the open."""

from datetime import timedelta

import pytest
from django.db import transaction
from django.db.models.functions import Now

from jobs.outbox import messages, selectors, services, worker
from jobs.outbox.models import Job, Mail
from jobs.outbox.queues import Queue
from jobs.outbox.registry import HANDLERS, QUEUES, handler

pytestmark = pytest.mark.django_db


def make_due(job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(due_at=Now())


def let_the_lease_run_out() -> None:
    """What a process does that dies while it holds the lease."""
    Job.objects.filter(lease__isnull=False).update(leased_until=Now() - timedelta(seconds=1))


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
        handler("outbox.mail", queue=Queue.MAIL)(HANDLERS["outbox.mail"])


def test_a_key_too_long_for_its_column_is_refused_on_every_database(register):
    register("tests.note", lambda job: None)
    with pytest.raises(ValueError, match="has 121 characters, 120 at most"):
        services.job_enqueue(handler="tests.note", payload={}, key="k" * 121)


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
    job = services.job_enqueue(handler="tests.note", payload={})
    first = worker.claim(job.pk)
    assert first is not None
    assert worker.claim(job.pk) is None
    assert worker.drain() == 0
    let_the_lease_run_out()
    worker.put_back_lost()
    make_due(job)
    second = worker.claim(job.pk)
    assert second is not None
    assert (second.pk, second.attempts) == (first.pk, 2)
    assert second.lease != first.lease


def test_a_worker_thought_dead_that_comes_back_writes_nothing(register):
    register("tests.note", lambda work: lambda: Mail.objects.create(to="a@b.ie", text="-"))
    job = services.job_enqueue(handler="tests.note", payload={})
    slow = worker.claim(job.pk)
    let_the_lease_run_out()
    worker.put_back_lost()
    make_due(job)
    quick = worker.claim(job.pk)
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
    messages.awake.clear()
    with django_capture_on_commit_callbacks(execute=True):
        services.job_enqueue(handler="tests.note", payload={})
        assert not messages.awake.is_set()
    assert messages.awake.is_set()


def test_a_process_that_dies_is_a_failed_try_and_the_last_one_gives_the_work_up(register):
    """Work that takes its process down with it must not be run for ever."""
    register("tests.note", lambda work: None)
    job = services.job_enqueue(handler="tests.note", payload={})
    waits = []
    for attempt in range(1, worker.ATTEMPTS + 1):
        make_due(job)
        assert worker.claim(job.pk).attempts == attempt
        let_the_lease_run_out()
        assert worker.drain() == 0  # it waits first, as after any other failure
        job.refresh_from_db()
        waits.append(job.due_at)
        assert job.lease is None
    assert waits == sorted(waits)
    assert job.error.endswith("ProcessDied: the process that did it died or was cut off")
    assert list(selectors.jobs_given_up()) == [job]
    make_due(job)
    assert worker.drain() == 0
    assert services.job_retry(job_id=job.pk)
    assert worker.drain() == 1


def test_a_row_is_sent_once_by_the_sweep_until_its_message_is_void(register):
    register("tests.note", lambda work: None)
    job = services.job_enqueue(handler="tests.note", payload={})
    assert worker.due_without_message() == []  # it was sent when it was written
    valid = timedelta(seconds=messages.VALID_S)
    Job.objects.update(sent_at=Now() - valid - timedelta(seconds=1))
    assert worker.due_without_message() == [job]
    assert worker.due_without_message() == []


def test_the_sweep_sends_what_failed_when_it_is_due_again_and_what_a_dead_process_left(register):
    def fail(work):
        raise OSError("no paper")

    register("tests.fail", fail)
    job = services.job_enqueue(handler="tests.fail", payload={})
    worker.do(job.pk)
    assert worker.due_without_message() == []
    make_due(job)
    assert worker.due_without_message() == [job]
    worker.claim(job.pk)
    let_the_lease_run_out()
    assert worker.due_without_message() == []
    make_due(job)
    assert worker.due_without_message() == [job]


def test_one_row_is_done_by_its_id_and_once(register):
    done = []
    register("tests.note", lambda job: done.append(job.payload["n"]))
    first, second = (services.job_enqueue(handler="tests.note", payload={"n": n}) for n in (1, 2))
    assert worker.do(second.pk)
    assert not worker.do(second.pk)
    assert done == [2]
    assert worker.do(first.pk)


def test_every_handler_has_a_queue_and_none_waits_where_the_sweep_does():
    assert set(QUEUES) == set(HANDLERS)
    assert Queue.SWEEP not in QUEUES.values()
