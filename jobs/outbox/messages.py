"""Telling a worker that a row is waiting: one message a row, with the row's id.

In production the message goes to the broker, into the queue of the row's handler; embedded,
the thread is woken. Losing a message loses nothing: the row stays, and the sweep finds it.
"""

import logging
import threading
import uuid

from celery import current_app
from django.conf import settings
from kombu.exceptions import OperationalError

from .models import Job
from .registry import QUEUES

log = logging.getLogger(__name__)
awake = threading.Event()

# A message not taken up after so many seconds is void: the sweep then sends another one.
VALID_S = 60


def job_send(job_id: uuid.UUID, handler: str) -> None:
    """Never raises: a broker that is down must not fail the request that committed."""
    if not settings.REDIS_URL:
        awake.set()
        return
    try:
        current_app.send_task(
            "outbox.run", args=[str(job_id)], queue=QUEUES[handler], expires=VALID_S, retry=False
        )
    except OperationalError as error:
        log.warning("The broker cannot be reached, work waits for the next sweep: %s", error)
        Job.objects.filter(pk=job_id).update(sent_at=None)
