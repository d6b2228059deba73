"""Deferred work without a broker: one thread inside the process that serves the pages."""

import logging
import threading

from django.db import close_old_connections

from . import nudge, worker

log = logging.getLogger(__name__)

SWEEP_S = 3.0


def start() -> threading.Thread:
    """Start sweeping. The thread ends with the process; its rows wait for the next one."""
    thread = threading.Thread(target=run_forever, name="outbox", daemon=True)
    thread.start()
    return thread


def run_forever() -> None:
    while True:
        sweep()
        nudge.awake.wait(SWEEP_S)


def sweep() -> None:
    """One round. Whatever goes wrong is logged, and the next round comes all the same."""
    nudge.awake.clear()
    close_old_connections()
    try:
        worker.drain()
    except Exception:
        log.exception("The outbox could not be swept")
    finally:
        close_old_connections()
