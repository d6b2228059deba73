"""An earlier version's database with its demo day, put where this version can migrate it.

Run as a process of its own, with ``DATA_DIR`` (SQLite) or ``DATABASE_URL`` (PostgreSQL)
naming an empty place:

    python -m tests.upgrade.earlier tests/upgrade/demo-2026-11-29.sqlite3.xz

The kept file is SQLite. On PostgreSQL the tables are made by the migrations that the file
records, and its rows are copied into them; migrations are never squashed, so the tables are
those of that version.
"""

import lzma
import os
import sqlite3
import sys
from pathlib import Path
from typing import Any

import django
from django.conf import settings

# How SQLite's stored values are written for a column of another type in PostgreSQL.
CASTS = {
    "boolean": lambda value: "true" if value else "false",
    "interval": lambda value: f"{value} microseconds",
}


def unpack(kept: Path, to: Path) -> None:
    """The SQLite file as it was."""
    to.write_bytes(lzma.decompress(kept.read_bytes()))


def copy_into_postgresql(file: Path) -> None:
    """The file's tables and rows in the PostgreSQL database that the settings name."""
    from django.db import connection

    source = sqlite3.connect(file)
    _make_tables(source)
    with connection.cursor() as cursor:
        # The guards of issued documents, and foreign keys, judge new rows; these are kept ones.
        cursor.execute("SET session_replication_role = replica")
        names = _tables(source)
        cursor.execute("TRUNCATE " + ", ".join(f'"{name}"' for name in names))
        for name in names:
            _copy_table(source, cursor, name)
        cursor.execute("SET session_replication_role = DEFAULT")
    source.close()


def _make_tables(source: sqlite3.Connection) -> None:
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    applied = set(source.execute("SELECT app, name FROM django_migrations"))
    executor = MigrationExecutor(connection)
    graph = executor.loader.graph
    last = [
        key for key in applied if not any(c.key in applied for c in graph.node_map[key].children)
    ]
    executor.migrate(sorted(last))


def _tables(source: sqlite3.Connection) -> list[str]:
    found = source.execute(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
    )
    return sorted(name for (name,) in found)


def _copy_table(source: sqlite3.Connection, cursor: Any, name: str) -> None:
    cursor.execute(
        "SELECT column_name, data_type FROM information_schema.columns"
        " WHERE table_schema = 'public' AND table_name = %s",
        [name],
    )
    types = dict(cursor.fetchall())
    rows = source.execute(f'SELECT * FROM "{name}"')
    columns = [one[0] for one in rows.description]
    assert set(columns) == set(types), f"{name} is not the table it was"
    places = ", ".join(f"%s::{types[column]}" for column in columns)
    quoted = ", ".join(f'"{column}"' for column in columns)
    cursor.executemany(
        f'INSERT INTO "{name}" ({quoted}) OVERRIDING SYSTEM VALUE VALUES ({places})',
        [[_value(types[c], v) for c, v in zip(columns, row, strict=True)] for row in rows],
    )
    if "id" in types and types["id"] in ("bigint", "integer"):
        cursor.execute(
            f"SELECT setval(pg_get_serial_sequence('\"{name}\"', 'id'), max(id)) FROM \"{name}\""
        )


def _value(kind: str, value: Any) -> Any:
    if value is None or isinstance(value, bytes):
        return value
    return CASTS.get(kind, str)(value)


def main(kept: str) -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "paddock.settings")
    django.setup()
    database = settings.DATABASES["default"]
    if database["ENGINE"].endswith("sqlite3"):
        unpack(Path(kept), Path(database["NAME"]))
        return
    file = Path(settings.DATA_DIR) / "earlier.sqlite3"
    unpack(Path(kept), file)
    copy_into_postgresql(file)


if __name__ == "__main__":
    main(*sys.argv[1:])
