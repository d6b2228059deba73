"""What some tests need from the machine, and the Debian package that brings it.

Without it such a test is skipped with a line saying what to install. Where
``NO_SKIPS=1`` is set (in .ci/run) the same line is a failure.
"""

import os
import shutil
import socket
from collections.abc import Callable
from functools import cache
from pathlib import Path
from urllib.parse import urlparse

import pytest
from django.conf import settings
from django.db import connection

from jobs.paper.documents import why_no_pdf
from tests.alone import worker_index

CHROMIUM = "/usr/bin/chromium"


def redis_url() -> str:
    """Of this process of the run alone: a number in Redis that no other process of it uses."""
    own = f"redis://127.0.0.1:6379/{1 + worker_index()}"
    return os.environ.get("TEST_REDIS_URL") or settings.REDIS_URL or own


@cache
def _pango() -> bool:
    return not why_no_pdf()


@cache
def _redis() -> bool:
    parts = urlparse(redis_url())
    try:
        socket.create_connection((parts.hostname or "", parts.port or 6379), timeout=1).close()
    except OSError:
        return False
    return True


NEEDS: dict[str, tuple[Callable[[], bool], str]] = {
    "browser": (lambda: Path(CHROMIUM).exists(), "apt-get install chromium"),
    "pdf": (_pango, "apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"),
    "redis": (_redis, "apt-get install redis-server, and start it"),
    "gettext": (lambda: bool(shutil.which("xgettext")), "apt-get install gettext"),
    "nginx": (lambda: Path("/usr/sbin/nginx").exists(), "apt-get install nginx-light"),
    "postgresql": (
        lambda: connection.vendor == "postgresql",
        "apt-get install postgresql, and set DATABASE_URL",
    ),
}


def check(item: pytest.Item) -> None:
    """Skip a test (or fail it, in CI) whose marker asks for what is not here."""
    for marker, (present, install) in NEEDS.items():
        if item.get_closest_marker(marker) and not present():
            line = f"needs {marker}: {install}"
            if os.environ.get("NO_SKIPS") == "1" and marker != "postgresql":
                pytest.fail(line)
            pytest.skip(line)


def remove_data_dir() -> None:
    if settings.DATA_DIR.name == f"paddock-tests-{os.getpid()}":
        shutil.rmtree(settings.DATA_DIR, ignore_errors=True)
