"""The last sign of life of each process.

A process writes the time into its own row every half minute; the sweep of the outbox writes
its row itself, so that a sweep that hangs falls silent. A process that ended cannot say so:
the next one of the same part on the same machine removes the rows of those that are gone.
"""

import logging
import os
import socket
import threading
import time
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from django.db import connection
from django.db.models.functions import Now

from .enums import ProcessPart
from .models import ServerProcess

log = logging.getLogger(__name__)

EVERY_S = 30.0
SILENT_AFTER = timedelta(minutes=2)
FORGOTTEN_AFTER = timedelta(days=7)

_signed: dict[tuple[ProcessPart, int], float] = {}  # when this process last wrote each of its rows


def sign(part: ProcessPart) -> None:
    """Say that this part is alive; twice within half a minute is written once."""
    key, now = (part, os.getpid()), time.monotonic()
    if now - _signed.get(key, -EVERY_S) < EVERY_S:
        return
    host = socket.gethostname()[:200]
    own: dict[str, Any] = {"part": part, "host": host, "pid": os.getpid()}
    if not ServerProcess.objects.filter(**own).update(seen_at=Now()):
        _remove_gone(part, host)
        ServerProcess.objects.get_or_create(**own)
    _signed[key] = now


def start(part: ProcessPart) -> threading.Thread:
    """Sign for this part from a thread of its own, until the process ends."""
    thread = threading.Thread(target=_sign_forever, args=[part], name=f"sign {part}", daemon=True)
    thread.start()
    return thread


def _sign_forever(part: ProcessPart) -> None:
    failing = False
    while True:
        try:
            sign(part)
            failing = False
        except Exception as error:
            if not failing:
                log.warning("The sign of life of %s could not be written: %s", part, error)
            failing = True
        finally:
            connection.close()
        time.sleep(EVERY_S)


def _remove_gone(part: ProcessPart, host: str) -> None:
    ServerProcess.objects.filter(seen_at__lt=Now() - FORGOTTEN_AFTER).delete()
    for row in ServerProcess.objects.filter(part=part, host=host):
        if not _runs(row.pid):
            row.delete()


def _runs(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except OSError:  # it runs, as somebody else
        return True
    return True


@dataclass(frozen=True)
class ProcessSign:
    process: ServerProcess
    is_silent: bool


def process_signs() -> list[ProcessSign]:
    """Every process known, and whether it has been silent for too long. One query."""
    before = datetime.now(UTC) - SILENT_AFTER
    return [ProcessSign(row, row.seen_at < before) for row in ServerProcess.objects.all()]


def processes_alive() -> int:
    """How many processes have signed lately, whatever their parts. One query."""
    alive = ServerProcess.objects.filter(seen_at__gte=Now() - SILENT_AFTER)
    return alive.values("host", "pid").distinct().order_by().count()


def work_is_swept() -> bool:
    """Whether deferred work is looked after. One query."""
    since = Now() - SILENT_AFTER
    return ServerProcess.objects.filter(part=ProcessPart.WORK, seen_at__gte=since).exists()
