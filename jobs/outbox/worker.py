"""Doing the waiting work, one row at a time, so that a worker that dies loses nothing.

A row is claimed for ten seconds by a compare-and-update that works alike on SQLite and
PostgreSQL; while the handler runs, a heartbeat renews the lease. When the process dies,
the lease runs out: that is a failed try like any other, waited for and counted, so that
work at which processes die is given up too. Closing the row and writing its effect are one
transaction, and only the holder of the lease can close it: a worker that was thought dead
and comes back writes nothing.
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

from . import signs
from .enums import ProcessPart
from .messages import VALID_S
from .models import Job
from .registry import HANDLERS, SCHEDULED, Finish, JobInput
from .request_id import under_request

log = logging.getLogger(__name__)

LEASE = timedelta(seconds=10)
HEARTBEAT_S = 3.0
ATTEMPTS = 8
FIRST_WAIT = timedelta(seconds=3)
LONGEST_WAIT = timedelta(minutes=10)


class ProcessDied(Exception):
    """The lease ran out: whoever held it has died, or was cut off from the database."""


def do(job_id: uuid.UUID) -> bool:
    """Do one row; False where there is nothing to do: done, not due, or in other hands."""
    job = claim(job_id)
    if job is not None:
        run(job)
    return job is not None


def drain() -> int:
    """Do all work that is due, the longest due first; how many rows were done."""
    done = 0
    put_back_lost()
    while (job_id := _due().order_by("due_at").values_list("pk", flat=True).first()) is not None:
        done += do(job_id)
        signs.sign(ProcessPart.WORK)
    return done


def ask_for_scheduled() -> None:
    """Let each room ask for the work whose time has come. One that fails stops no other."""
    for ask in SCHEDULED:
        try:
            ask()
        except Exception:
            log.exception("Scheduled work could not be asked for")


def claim(job_id: uuid.UUID) -> Job | None:
    """Take the lease of a row. None: it is not due, or somebody else has it."""
    lease = uuid.uuid4()
    taken = (
        _due()
        .filter(pk=job_id)
        .update(lease=lease, leased_until=Now() + LEASE, attempts=F("attempts") + 1)
    )
    return Job.objects.get(pk=job_id) if taken else None


def due_without_message() -> list[Job]:
    """Rows that are due and that no message is under way for; they count as sent from now on."""
    put_back_lost()
    unsent = Q(sent_at__isnull=True) | Q(sent_at__lt=Now() - timedelta(seconds=VALID_S))
    jobs = list(_due().filter(unsent).order_by("due_at"))
    Job.objects.filter(pk__in=[job.pk for job in jobs]).update(sent_at=Now())
    return jobs


def put_back_lost() -> None:
    """Rows whose process died wait for their next try, or are given up after the last one."""
    lost = _open().filter(lease__isnull=False, leased_until__lt=Now())
    for job in lost:
        log.error("%s: the process died at attempt %d", job, job.attempts)
        error = ProcessDied("the process that did it died or was cut off")
        _put_back(lost.filter(pk=job.pk, lease=job.lease), job, error)


def _open() -> QuerySet[Job]:
    return Job.objects.filter(done_at__isnull=True, given_up_at__isnull=True)


def _due() -> QuerySet[Job]:
    return _open().filter(lease__isnull=True, due_at__lte=Now())


def run(job: Job) -> None:
    """Do one claimed row. Never raises for what the handler did wrong: that is kept."""
    with under_request(job.request_id):
        try:
            with _lease_renewed(job):
                finish = HANDLERS[job.handler](JobInput(job.id, job.payload))
            _close(job, finish)
        except Exception as error:
            log.exception("%s failed at attempt %d", job, job.attempts)
            _put_back(_while_leased(job), job, error)


def _close(job: Job, finish: Finish | None) -> None:
    with transaction.atomic():
        ours = _while_leased(job).update(done_at=Now(), lease=None, leased_until=None, error="")
        if not ours:
            log.warning("%s took longer than its lease: another worker does it now", job)
        elif finish is not None:
            finish()


def _put_back(row: QuerySet[Job], job: Job, error: Exception) -> None:
    """Wait longer after every failure; after the last one leave it to a person."""
    wait = min(FIRST_WAIT * 2 ** (job.attempts - 1), LONGEST_WAIT)
    row.update(
        lease=None,
        leased_until=None,
        due_at=Now() + wait,
        sent_at=None,
        given_up_at=Now() if job.attempts >= ATTEMPTS else None,
        error="".join(traceback.format_exception_only(error)).strip()[:2000],
    )


def _while_leased(job: Job) -> QuerySet[Job]:
    return Job.objects.filter(pk=job.pk, lease=job.lease, done_at__isnull=True)


@contextmanager
def _lease_renewed(job: Job) -> Iterator[None]:
    """Renew the lease from a thread of its own for as long as the work takes."""
    over = threading.Event()

    def beat() -> None:
        while not over.wait(HEARTBEAT_S):
            try:
                _while_leased(job).update(leased_until=Now() + LEASE)
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
