"""Doing the waiting work, one row at a time, so that a dead worker is no loss.

A row is claimed for ten seconds by a compare-and-update that works alike on SQLite and
PostgreSQL; while the handler runs, a heartbeat renews the lease. When the worker dies
the lease runs out and the next sweep takes the row. Closing the row and writing its
effect are one transaction, and only the holder of the lease can close it: a worker that
was thought dead and comes back writes nothing.
"""

import logging
import threading
import traceback
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta

from django.db import connection, transaction
from django.db.models import F, Q, QuerySet
from django.db.models.functions import Now

from .models import Job
from .registry import HANDLERS, Finish, Work

log = logging.getLogger(__name__)

LEASE = timedelta(seconds=10)
HEARTBEAT_S = 3.0
ATTEMPTS = 8
FIRST_WAIT = timedelta(seconds=3)
LONGEST_WAIT = timedelta(minutes=10)


def drain() -> int:
    """Do all work that is due; how many rows were taken on."""
    done = 0
    while (job := claim()) is not None:
        run(job)
        done += 1
    return done


def claim() -> Job | None:
    """Take the lease of the row that has been due longest. None: nothing is due."""
    while True:
        job = _due().order_by("due_at").first()
        if job is None:
            return None
        lease = uuid.uuid4()
        taken = (
            _due()
            .filter(pk=job.pk, lease=job.lease)
            .update(lease=lease, leased_until=Now() + LEASE, attempts=F("attempts") + 1)
        )
        if taken:
            job.lease = lease
            job.attempts += 1
            return job


def _due() -> QuerySet[Job]:
    return Job.objects.filter(
        Q(leased_until__isnull=True) | Q(leased_until__lt=Now()),
        due_at__lte=Now(),
        done_at__isnull=True,
        given_up_at__isnull=True,
    )


def run(job: Job) -> None:
    """Do one claimed row. Never raises for what the handler did wrong: that is kept."""
    try:
        with _kept_alive(job):
            finish = HANDLERS[job.handler](Work(job.id, job.payload))
        _close(job, finish)
    except Exception as error:
        log.exception("%s failed at attempt %d", job, job.attempts)
        _put_back(job, error)


def _close(job: Job, finish: Finish | None) -> None:
    with transaction.atomic():
        ours = _ours(job).update(done_at=Now(), lease=None, leased_until=None, error="")
        if not ours:
            log.warning("%s took longer than its lease and is another's now", job)
        elif finish is not None:
            finish()


def _put_back(job: Job, error: Exception) -> None:
    """Wait longer after every failure; after the last one leave it to a person."""
    wait = min(FIRST_WAIT * 2 ** (job.attempts - 1), LONGEST_WAIT)
    _ours(job).update(
        lease=None,
        leased_until=None,
        due_at=Now() + wait,
        given_up_at=Now() if job.attempts >= ATTEMPTS else None,
        error="".join(traceback.format_exception_only(error)).strip()[:2000],
    )


def _ours(job: Job) -> QuerySet[Job]:
    return Job.objects.filter(pk=job.pk, lease=job.lease, done_at__isnull=True)


@contextmanager
def _kept_alive(job: Job) -> Iterator[None]:
    """Renew the lease from a thread of its own for as long as the work takes."""
    over = threading.Event()

    def beat() -> None:
        while not over.wait(HEARTBEAT_S):
            try:
                _ours(job).update(leased_until=Now() + LEASE)
            except Exception:
                log.exception("The lease of %s could not be renewed", job)
            finally:
                connection.close()

    heart = threading.Thread(target=beat, name="outbox heartbeat", daemon=True)
    heart.start()
    try:
        yield
    finally:
        over.set()
        heart.join()
