"""Whether this server can do its work: ``/healthz`` (the process) and ``/readyz`` (all it needs).

Both are answered before Django: a probe that asks by an address instead of a name is answered
too, and so is one while the database is away. ``/readyz`` looks at most once in three seconds,
whoever asks, and says no path, no name and no number of rows.
"""

import json
import threading
import time
from http import HTTPStatus

from jobs.acts import health
from jobs.acts.health import ServerCheck, named

from . import readiness

ALIVE, READY = "/healthz", "/readyz"
LOOK_EVERY_S = 3.0


def checks() -> list[ServerCheck]:
    """Migrations first: without its tables nothing else can be asked of the database."""
    found = named("migrations", migrations)
    if found.fault:
        return [found, named("database", health.database), named("disk", health.disk)]
    return [found, *health.checks()]


def migrations() -> tuple[str, str]:
    missing = readiness.missing_in_database()
    return (" ".join(missing), readiness.COMMAND) if missing else ("", "")


class Health:
    """Answers both addresses."""

    def __init__(self) -> None:
        self._asked_at = -LOOK_EVERY_S
        self._found: list[ServerCheck] = []
        self._lock = threading.Lock()

    def answer(self, path: str) -> tuple[HTTPStatus, str] | None:
        """Status and JSON; None for any other address."""
        if path == ALIVE:
            return HTTPStatus.OK, json.dumps({"alive": True})
        if path != READY:
            return None
        found = self._looked()
        ready = not any(check.fault for check in found)
        said = {check.name: check.fault or "ok" for check in found}
        status = HTTPStatus.OK if ready else HTTPStatus.SERVICE_UNAVAILABLE
        return status, json.dumps({"ready": ready, "checks": said})

    def _looked(self) -> list[ServerCheck]:
        with self._lock:
            if time.monotonic() - self._asked_at >= LOOK_EVERY_S:
                self._found = readiness.in_thread(checks)
                self._asked_at = time.monotonic()
            return self._found
