"""PostgreSQL's connections: a process shares a few, and gets them back after an outage."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings
from django.db import connection

from jobs.outbox.models import ServerProcess
from paddock import checks
from tests.wire import Wire

ROOT = Path(__file__).resolve().parents[1]
THREADS, CONNECTIONS = 40, 4

pytestmark = [pytest.mark.postgresql, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def wire():
    line = Wire(int(connection.settings_dict["PORT"] or 5432))
    yield line
    line.close()


@pytest.fixture
def many_threads(wire, tmp_path):
    """``many_threads()``: all threads of another process ask; how many were answered, or not."""
    entry = connection.settings_dict
    variables = {
        "DJANGO_SETTINGS_MODULE": "paddock.settings",
        "DATABASE_URL": f"postgres://{entry['USER']}@127.0.0.1:{wire.port}/{entry['NAME']}",
        "DATABASE_CONNECTIONS": str(CONNECTIONS),
        "DATA_DIR": str(tmp_path),
        "REDIS_URL": "",
    }
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.shared_connections", str(THREADS)],
        cwd=ROOT,
        env={**os.environ, **variables},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )

    def ask() -> tuple[int, int]:
        process.stdin.write("ask\n")
        process.stdin.flush()
        answered, refused = process.stdout.readline().split()
        return int(answered), int(refused)

    yield ask
    process.communicate(timeout=20)


def open_connections() -> int:
    """What other processes hold of this test's database."""
    with connection.cursor() as cursor:
        cursor.execute(
            "select count(*) from pg_stat_activity"
            " where datname = current_database() and pid <> pg_backend_pid()"
        )
        return cursor.fetchone()[0]


def test_many_threads_share_few_connections_and_find_them_again_after_an_outage(many_threads, wire):
    before = open_connections()
    assert many_threads() == (THREADS, 0)
    assert open_connections() - before <= CONNECTIONS
    wire.cut()
    assert many_threads() == (0, THREADS)  # told that the database is away: what they sent waits
    wire.mend()
    assert many_threads() == (THREADS, 0)


@pytest.fixture
def place(monkeypatch):
    """``place(connections each)``: the settings of a place whose processes open so many."""
    monkeypatch.setattr(checks.readiness, "missing_in_database", list)

    def use(each: int) -> list[str]:
        options = {"pool": {"max_size": each}}
        entry = {**settings.DATABASES["default"], "OPTIONS": options}
        monkeypatch.setattr(settings, "DATABASES", {"default": entry})
        return [warning.msg for warning in checks.connections_suffice()]

    return use


def test_the_check_counts_what_all_processes_may_open(place):
    assert place(2) == []
    assert place(10_000)[0].startswith("7 processes may open 70000 connections")
    for pid in range(8):
        ServerProcess.objects.create(part="pages", host="a", pid=pid)
        ServerProcess.objects.create(part="work", host="a", pid=pid)  # the same process
    assert place(10_000)[0].startswith("8 processes may open 80000 connections")
