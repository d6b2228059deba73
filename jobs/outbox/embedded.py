"""Deferred work without a broker: one thread inside the process that serves the pages."""

import logging
import threading

from django.db import close_old_connections

from . import signs, worker
from .enums import ProcessPart
from .messages import awake

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
        awake.wait(SWEEP_S)


_failing: set[str] = set()  # kinds of failure since the last round that went well


def _log_once(error: Exception) -> None:
    """A database that is away for an hour is one traceback, not one every three seconds."""
    kind = type(error).__qualname__
    if kind not in _failing:
        _failing.add(kind)
        log.exception("The outbox could not be swept; this is said once until it goes well again")


def sweep() -> None:
    """One round. Whatever goes wrong is logged, and the next round comes all the same."""
    awake.clear()
    close_old_connections()
    try:
        signs.sign(ProcessPart.WORK)
        worker.drain()
        worker.ask_for_scheduled()
    except Exception as error:
        _log_once(error)
    else:
        _failing.clear()
    finally:
        close_old_connections()
