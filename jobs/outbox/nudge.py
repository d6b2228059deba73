"""Telling whoever does deferred work that there is some. Losing a nudge loses nothing:
the rows stay, and every three seconds they are swept."""

import logging
import threading

from celery import current_app
from django.conf import settings
from kombu.exceptions import OperationalError

log = logging.getLogger(__name__)
awake = threading.Event()


def nudge() -> None:
    """Never raises: a broker that is down must not fail the request that committed."""
    if not settings.REDIS_URL:
        awake.set()
        return
    try:
        current_app.send_task("outbox.drain", expires=60, retry=False)
    except OperationalError as error:
        log.warning("The broker cannot be reached, work waits for the next sweep: %s", error)
