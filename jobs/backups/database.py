"""Copying the database while it is in use, and bringing a copy back, on SQLite and PostgreSQL."""

import hashlib
import os
import shutil
import sqlite3
import subprocess
import uuid
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import psycopg
from django.db import connection
from django.utils.translation import gettext as _
from psycopg import sql

from .faults import BackupFault

# Table by table: how many rows, and the SHA-256 of their content in a fixed order.
Tables = dict[str, dict[str, Any]]

FILES = {"sqlite": "database.sqlite3", "postgresql": "database.dump"}


def file_name() -> str:
    return FILES[connection.vendor]


def dump(to: Path) -> Tables:
    """Write a consistent copy of the database to ``to``; what every table of it holds."""
    return _dump_sqlite(to) if connection.vendor == "sqlite" else _dump_postgresql(to)


def tables_of(copy: Path) -> Tables | None:
    """What every table of a copy holds, read after restoring the copy into a scratch place.

    None: this PostgreSQL role may not create a scratch database, so the copy was not tried.
    """
    if connection.vendor == "sqlite":
        return _tables_sqlite(copy)
    try:
        with _scratch_database() as name:
            _pg_restore(copy, name)
            with _postgresql(name) as scratch:
                return _tables_postgresql(scratch)
    except psycopg.errors.InsufficientPrivilege:
        return None


def replace_by(copy: Path) -> None:
    """Make ``copy`` the database that the settings name. It must be empty; see restoring."""
    settings = connection.settings_dict
    connection.close()
    if connection.vendor == "postgresql":
        _pg_restore(copy, settings["NAME"], clean=True)
        return
    file = Path(settings["NAME"])
    for beside in ("-wal", "-shm"):
        file.with_name(file.name + beside).unlink(missing_ok=True)
    fresh = file.with_name(file.name + ".restored")
    shutil.copyfile(copy, fresh)
    os.replace(fresh, file)


# SQLite


def _dump_sqlite(to: Path) -> Tables:
    source = Path(connection.settings_dict["NAME"])
    with (
        closing(sqlite3.connect(f"{source.resolve().as_uri()}?mode=ro", uri=True)) as live,
        closing(sqlite3.connect(to)) as copy,
    ):
        live.backup(copy)
        # The copy is one file by itself, also where the live one keeps a log beside it.
        copy.execute("PRAGMA journal_mode=DELETE")
    return _tables_sqlite(to)


def _tables_sqlite(file: Path) -> Tables:
    with closing(sqlite3.connect(f"{file.resolve().as_uri()}?mode=ro", uri=True)) as copy:
        try:
            faults = [row[0] for row in copy.execute("PRAGMA integrity_check")]
            if faults != ["ok"] or copy.execute("PRAGMA foreign_key_check").fetchone():
                raise BackupFault(_("The copy of the database is damaged: %s") % faults[0])
            names = copy.execute(
                "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
            ).fetchall()
            return {name: _rows_sqlite(copy, name) for (name,) in sorted(names)}
        except sqlite3.DatabaseError as error:
            raise BackupFault(_("The copy of the database is damaged: %s") % error) from error


def _rows_sqlite(copy: sqlite3.Connection, name: str) -> dict[str, Any]:
    content, rows = hashlib.sha256(), 0
    for row in copy.execute(f'SELECT * FROM "{name}" ORDER BY rowid'):  # noqa: S608 - our own table
        content.update(repr(row).encode())
        rows += 1
    return {"rows": rows, "sha256": content.hexdigest()}


# PostgreSQL


def _dump_postgresql(to: Path) -> Tables:
    """One snapshot for the dump and for what the tables hold, whatever is written meanwhile."""
    with _postgresql(connection.settings_dict["NAME"]) as live:
        live.isolation_level = psycopg.IsolationLevel.REPEATABLE_READ
        live.read_only = True
        snapshot = live.execute("SELECT pg_export_snapshot()").fetchone()
        assert snapshot is not None
        _run("pg_dump", "--format=custom", "--no-owner", "--no-privileges",
             f"--snapshot={snapshot[0]}", f"--file={to}")  # fmt: skip
        return _tables_postgresql(live)


def _tables_postgresql(live: psycopg.Connection) -> Tables:
    live.execute("SET TIME ZONE 'UTC'")  # times are written alike wherever this runs
    names = live.execute(
        "SELECT tablename FROM pg_tables WHERE schemaname = current_schema() ORDER BY 1"
    ).fetchall()
    return {name: _rows_postgresql(live, name) for (name,) in names}


def _rows_postgresql(live: psycopg.Connection, name: str) -> dict[str, Any]:
    content, rows = hashlib.sha256(), 0
    query = sql.SQL('COPY (SELECT t.* FROM {} t ORDER BY (t.*)::text COLLATE "C") TO STDOUT')
    with live.cursor().copy(query.format(sql.Identifier(name))) as lines:
        for line in lines:
            content.update(line)
            rows += bytes(line).count(b"\n")
    return {"rows": rows, "sha256": content.hexdigest()}


@contextmanager
def _scratch_database() -> Iterator[str]:
    name = f"paddock_scratch_{uuid.uuid4().hex[:12]}"
    with _postgresql("postgres", autocommit=True) as server:
        server.execute(
            sql.SQL("CREATE DATABASE {} TEMPLATE template0").format(sql.Identifier(name))
        )
        try:
            yield name
        finally:
            server.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))


def _postgresql(name: str, *, autocommit: bool = False) -> psycopg.Connection:
    settings = connection.settings_dict
    return psycopg.connect(
        host=settings["HOST"] or None,
        port=settings["PORT"] or None,
        user=settings["USER"] or None,
        password=settings["PASSWORD"] or None,
        dbname=name,
        autocommit=autocommit,
    )


def _pg_restore(copy: Path, name: str, *, clean: bool = False) -> None:
    more = ["--clean", "--if-exists"] if clean else []
    _run("pg_restore", "--no-owner", "--no-privileges", "--single-transaction",
         "--exit-on-error", *more, f"--dbname={name}", str(copy))  # fmt: skip


def _run(*command: str) -> None:
    """One of PostgreSQL's own programs, told by its environment where the server is."""
    if shutil.which(command[0]) is None:
        raise BackupFault(
            _("%(program)s is not installed: on Debian, apt-get install postgresql-client.")
            % {"program": command[0]}
        )
    done = subprocess.run(  # noqa: S603 - our own command line, no shell
        command, env={**os.environ, **_environment()}, capture_output=True, text=True, check=False
    )
    if done.returncode:
        raise BackupFault(
            _("%(program)s failed: %(why)s")
            % {"program": command[0], "why": done.stderr.strip()[:500]}
        )


def _environment() -> Mapping[str, str]:
    settings = connection.settings_dict
    names = {"HOST": "PGHOST", "PORT": "PGPORT", "USER": "PGUSER", "PASSWORD": "PGPASSWORD"}
    given = {named: str(settings[key]) for key, named in names.items() if settings.get(key)}
    mode = settings.get("OPTIONS", {}).get("sslmode")
    return {**given, "PGDATABASE": str(settings["NAME"]), **({"PGSSLMODE": mode} if mode else {})}
