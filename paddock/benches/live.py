"""From a commit to every browser that watches: one process, hundreds of listeners."""

import json
import os
import socket
import statistics
import subprocess
import sys
import threading
import time
from argparse import ArgumentParser
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from importlib import import_module
from pathlib import Path
from typing import Any

import uvicorn
from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.db import connections, transaction

from jobs.people.models import User
from jobs.trackday.services import revision_bump

from .bench_days import bench_database, bench_day, bench_settings

PAGE = os.sysconf("SC_PAGE_SIZE")
LISTENING = (sys.executable, "-m", "paddock.benches.listening")
BACKEND = "django.contrib.auth.backends.ModelBackend"


def arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--listeners", type=int, default=500)
    parser.add_argument("--commits", type=int, default=50)


def run(say: Callable[[str], None], *, listeners: int, commits: int, **options: Any) -> None:
    """The server runs in this process as it does embedded; the browsers in another."""
    with bench_database(), bench_settings():
        day = bench_day(bikes=1)
        cookie = f"{settings.SESSION_COOKIE_NAME}={_session(day.tuner)}"
        with _served() as port:
            before = _resident()
            browsers = _browsers(port, day.trackday.pk, cookie, listeners)
            each_kb = (_resident() - before) / listeners / 1024
            stamps = _commit(day.trackday.pk, commits)
            heard = json.loads(browsers.communicate(input="\n", timeout=120)[0])
        connections.close_all()
    waits = sorted((at - stamps[revision]) * 1000 for revision, at in heard if revision in stamps)
    cuts = statistics.quantiles(waits, n=100)
    say(
        f"{listeners} listeners, {commits} commits, {len(waits)} of {listeners * commits} told:"
        f" commit to client p50 {cuts[49]:.1f} ms, p95 {cuts[94]:.1f} ms,"
        f" most {waits[-1]:.1f} ms; {each_kb:.0f} KB each"
    )


def _commit(trackday_id: int, commits: int) -> dict[int, float]:
    """The moment each revision was committed."""
    stamps: dict[int, float] = {}
    for _ in range(commits):
        with transaction.atomic():
            committed: list[float] = []
            transaction.on_commit(partial(_now, committed))
            revision = revision_bump(trackday_id=trackday_id)
        stamps[revision] = committed[0]
        time.sleep(0.1)
    return stamps


def _now(into: list[float]) -> None:
    into.append(time.monotonic())


def _session(user: User) -> str:
    session = import_module(settings.SESSION_ENGINE).SessionStore()
    session[SESSION_KEY] = str(user.pk)
    session[BACKEND_SESSION_KEY] = BACKEND
    session[HASH_SESSION_KEY] = user.get_session_auth_hash()
    session.create()
    return str(session.session_key)


@contextmanager
def _served() -> Iterator[int]:
    """The embedded application in a thread of this process; its port."""
    from paddock.asgi import application

    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        listening.listen(1024)
        config = uvicorn.Config(application, log_level="warning", timeout_graceful_shutdown=1)
        server = uvicorn.Server(config)
        thread = threading.Thread(target=server.run, args=([listening],), daemon=True)
        thread.start()
        yield listening.getsockname()[1]
        server.should_exit = True
        thread.join(timeout=10)


def _browsers(port: int, trackday_id: int, cookie: str, count: int) -> subprocess.Popen[str]:
    """A process with ``count`` open streams, once they are all open."""
    browsers = subprocess.Popen(
        [*LISTENING, str(port), f"/live/{trackday_id}/", cookie, str(count)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=settings.BASE_DIR,
    )
    assert browsers.stdout is not None
    if browsers.stdout.readline() != "open\n":
        raise RuntimeError("the streams could not be opened")
    return browsers


def _resident() -> int:
    """Bytes of memory this process has."""
    return int(Path("/proc/self/statm").read_text().split()[1]) * PAGE
