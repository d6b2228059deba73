"""The test database and its contents: each content is built once in a run, then copied.

A *state* is a content of the database under a name. ``MIGRATED`` has the migrations and no
more; another is what a function wrote on top of it (see ``tests/scenarios.py``). The first
process of a run that needs a state builds it while the others wait at a lock file; from then
on it is copied: on SQLite the file, on PostgreSQL by ``CREATE DATABASE ... TEMPLATE``.
On SQLite ``MIGRATED`` is kept in ``.pytest_cache`` for the next run too, while its sources stay
as they are.
"""

import fcntl
import hashlib
import os
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Protocol

import django
import psycopg
from django.conf import settings
from django.core.management import call_command
from django.db import connection, connections, transaction
from psycopg import sql

ALIAS = "default"
MIGRATED = "migrated"


class Copies(Protocol):
    """How a database is made, kept as a state, copied from it and dropped; by its name."""

    def create(self) -> str: ...
    def keep(self, name: str, state: str) -> None: ...
    def copy(self, state: str) -> str: ...
    def drop(self, name: str) -> None: ...
    def drop_state(self, state: str) -> None: ...


class SqliteFiles:
    """Every copy is a file of a new name: a connection left open never meets the next one."""

    def __init__(self, run: Path) -> None:
        self.run = run
        self.made = 0

    def create(self) -> str:
        self.made += 1
        return str(settings.DATA_DIR / f"test-{self.made}.sqlite3")

    def keep(self, name: str, state: str) -> None:
        # The last connection is closed, so nothing is left in the write-ahead log.
        assert not Path(f"{name}-wal").exists(), f"{name} is still open"
        shutil.move(name, self._file(state))

    def copy(self, state: str) -> str:
        name = self.create()
        shutil.copyfile(self._file(state), name)
        return name

    def drop(self, name: str) -> None:
        for ending in ("", "-wal", "-shm"):
            Path(name + ending).unlink(missing_ok=True)

    def drop_state(self, state: str) -> None:
        self._file(state).unlink(missing_ok=True)

    def _file(self, state: str) -> Path:
        return self.run / f"{state}.sqlite3"


class PostgresqlDatabases:
    """Names begin with ``test_`` and the database's own; a worker's go on with its number.

    What a run that was killed left behind is dropped by the next one that needs the name.
    """

    def __init__(self) -> None:
        self.server = connection.get_connection_params() | {"dbname": "postgres"}
        self.base = f"test_{connection.settings_dict['NAME']}"
        self.worker = os.environ.get("PYTEST_XDIST_WORKER", "main")
        self.made = 0

    def create(self) -> str:
        return self._create("template1")

    def keep(self, name: str, state: str) -> None:
        self.drop_state(state)
        self._do("ALTER DATABASE {} RENAME TO {}", name, self._state(state))

    def copy(self, state: str) -> str:
        return self._create(self._state(state))

    def drop(self, name: str) -> None:
        self._do("DROP DATABASE IF EXISTS {} WITH (FORCE)", name)

    def drop_state(self, state: str) -> None:
        self.drop(self._state(state))

    def _state(self, state: str) -> str:
        return f"{self.base}_{state}"

    def _create(self, template: str) -> str:
        self.made += 1
        name = f"{self.base}_{self.worker}_{self.made}"
        self.drop(name)
        self._do("CREATE DATABASE {} TEMPLATE {}", name, template)
        return name

    def _do(self, statement: str, *names: str) -> None:
        with psycopg.connect(**self.server, autocommit=True) as server:
            server.execute(sql.SQL(statement).format(*map(sql.Identifier, names)))


class TestDatabase:
    """What the tests of one process work on: a copy of ``MIGRATED``, for a while another state."""

    __test__ = False

    def __init__(self, run: Path) -> None:
        self.run = run
        self.copies: Copies = (
            PostgresqlDatabases() if connection.vendor == "postgresql" else SqliteFiles(run)
        )
        self._unchanged: dict[str, str] = {}  # copies that nothing was written to, by state

    @contextmanager
    def ready(self) -> Iterator[None]:
        """Within, the database is a copy of ``MIGRATED``; ``renew`` replaces it by another."""
        configured = connection.settings_dict["NAME"]
        _use(self._copy(MIGRATED, _migrate))
        yield
        _close()
        self.copies.drop(_use(configured))
        for name in self._unchanged.values():
            self.copies.drop(name)

    def renew(self) -> None:
        """Forget what a test really wrote."""
        _close()
        self.copies.drop(_use(self._copy(MIGRATED, _migrate)))

    @contextmanager
    def at(self, state: str, build: Callable[[], None]) -> Iterator[None]:
        """Within, the database is a copy of that state; what is written there is forgotten.

        A test whose transaction is rolled back gets one here too, and leaves the copy as it
        was for the next; one that really commits has a copy of its own.
        """
        rolled_back = connection.in_atomic_block
        name = self._unchanged.pop(state, None) or self._copy(state, build)
        with _instead(name):
            if rolled_back:
                with transaction.atomic():
                    yield
                    connection.check_constraints()
                    transaction.set_rollback(True)
            else:
                yield
        if rolled_back:
            self._unchanged[state] = name
        else:
            self.copies.drop(name)

    def _copy(self, state: str, build: Callable[[], None]) -> str:
        with _locked(self.run / f"{state}.lock"):
            built = self.run / f"{state}.built"
            if not built.exists():
                name = self.copies.create() if state == MIGRATED else self._copy(MIGRATED, _migrate)
                with _instead(name):
                    build()
                self.copies.keep(name, state)
                built.touch()
        return self.copies.copy(state)


def drop_states(run: Path) -> None:
    """At the end of a run: everything it built."""
    for built in run.glob("*.built"):
        copies = PostgresqlDatabases() if connection.vendor == "postgresql" else SqliteFiles(run)
        copies.drop_state(built.stem)


def _migrate() -> None:
    """Bring the empty database to the newest migration, on SQLite from an earlier run's copy."""
    if connection.vendor != "sqlite":
        call_command("migrate", interactive=False, verbosity=0)
        return
    connection.ensure_connection()
    copy = settings.BASE_DIR / ".pytest_cache" / f"migrated-{_schema_digest()}.sqlite3"
    if copy.exists():
        with closing(sqlite3.connect(copy)) as kept:
            kept.backup(connection.connection)
        return
    call_command("migrate", interactive=False, verbosity=0)
    copy.parent.mkdir(exist_ok=True)
    for older in copy.parent.glob("migrated-*.sqlite3"):
        older.unlink(missing_ok=True)
    unfinished = copy.with_suffix(f".{os.getpid()}")
    with closing(sqlite3.connect(unfinished)) as kept:
        connection.connection.backup(kept)
    unfinished.rename(copy)


def _schema_digest() -> str:
    """Changes with Django and with every file that a migrated, empty database depends on."""
    digest = hashlib.sha256(django.__version__.encode())
    for file in sorted((settings.BASE_DIR / "jobs").rglob("*.py")):
        if {"migrations", "models", "models.py", "triggers.py"} & set(file.parts):
            digest.update(file.read_bytes())
    return digest.hexdigest()[:16]


def _use(name: str) -> str:
    """Let every connection that is opened from now on be to this database. Returns the last."""
    before = connection.settings_dict["NAME"]
    connection.settings_dict["NAME"] = name
    return str(before)


def _close() -> None:
    connections[ALIAS].close()


@contextmanager
def _instead(name: str) -> Iterator[None]:
    """Within, a connection of its own to that database stands in for this thread's."""
    outside, before = connections[ALIAS], _use(name)
    connections[ALIAS] = connections.create_connection(ALIAS)
    try:
        yield
    finally:
        _close()
        connections[ALIAS] = outside
        _use(before)


@contextmanager
def _locked(file: Path) -> Iterator[None]:
    with file.open("w") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        yield
