"""Real worker processes on the test database, to be killed."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

from django.db import connection

ROOT = Path(__file__).resolve().parents[2]
EMBEDDED = [sys.executable, "-m", "tests.outbox.slow_worker"]
# Listens to every queue, and sweeps; ``[*CELERY, "--queues", "mail"]`` to some of them.
CELERY = [
    *(sys.executable, "-m", "celery", "-A", "tests.outbox.slow_worker", "worker", "--beat"),
    *("--concurrency", "1", "--loglevel", "WARNING"),
]


def database_url() -> str:
    """The address of the database this very test runs on."""
    entry = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{entry['NAME']}"
    port = entry["PORT"] or 5432
    return f"postgres://{entry['USER']}@{entry['HOST']}:{port}/{entry['NAME']}"


def start(command: list[str], folder: Path, *, slow_s: float, redis_url: str) -> subprocess.Popen:
    """Start a worker in a process group of its own."""
    variables = {
        "DJANGO_SETTINGS_MODULE": "tests.settings",  # no static files to collect, no daily backup
        "DATABASE_URL": database_url(),
        "DATA_DIR": str(folder),
        "SLOW_LOG": str(folder / "began"),
        "SLOW_S": str(slow_s),
        "REDIS_URL": redis_url,
        "PYTHONWARNINGS": "ignore",
    }
    inherited = {k: v for k, v in os.environ.items() if k != "PYTEST_XDIST_WORKER"}
    with (folder / "worker.log").open("a") as log:
        return subprocess.Popen(
            command,
            cwd=ROOT,
            env={**inherited, **variables},  # REDIS_URL is taken as it is given
            stdout=log,
            stderr=log,
            start_new_session=True,
        )


def kill(process: subprocess.Popen) -> None:
    """kill -9, the whole group, no chance to tidy up."""
    if process.poll() is None:
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()


def began(folder: Path) -> list[str]:
    """The names of the works that were begun so far, in order."""
    file = folder / "began"
    return file.read_text().split() if file.exists() else []


def until(
    met: Callable[[], bool], *, patience_s: float = 60, found: Callable[[], object] = str
) -> None:
    """Wait for something another process does; ``found`` says what there is instead."""
    end = time.monotonic() + patience_s
    while not met():
        assert time.monotonic() < end, f"waited in vain: {found()}"
        time.sleep(0.05)
