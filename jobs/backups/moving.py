"""Everything of one database brought into an empty one of the other kind, and both compared.

A backup cannot do this: it is of the kind of database it was made on. Rows are read and written
column by column through Django's fields, so that a value means the same on both sides.
"""

import hashlib
import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal
from itertools import islice
from typing import Any

from django.apps import apps
from django.core.management.color import no_style
from django.db import connections, models, transaction
from django.utils.translation import gettext as _

from .faults import BackupFault
from .restoring import table_in_use

AT_ONCE = 500  # rows written in one statement

Row = tuple[Any, ...]


@dataclass(frozen=True)
class TableSum:
    """How many rows a table has, and the SHA-256 of their content whatever their order."""

    rows: int
    sha256: str


def move(source: str, target: str) -> dict[str, TableSum]:
    """Copy every table from one connection's database to another's; what each table then holds.

    ``source`` and ``target`` are aliases of Django's connections. The target has been migrated
    by this version and holds nothing entered by anybody. Raises BackupFault where it does, or
    where a table is not equal afterwards; then nothing is left in the target.
    """
    _refuse_living(target)
    with transaction.atomic(using=source), transaction.atomic(using=target):
        _freeze(source)
        with _without_triggers(target):
            for model in reversed(tables()):
                # What its migrations wrote is among what comes.
                _run(target, f"DELETE FROM {_name(target, model)}")  # noqa: S608
            for model in tables():
                _copy(model, source, target)
        _continue_numbers(target)
        return _compared(source, target)


def tables() -> list[type[models.Model]]:
    """The models that have a table of their own, those of many-to-many fields among them."""
    found = apps.get_models(include_auto_created=True)
    return [model for model in found if model._meta.managed and not model._meta.proxy]


def table_sum(model: type[models.Model], using: str) -> TableSum:
    digests = sorted(
        hashlib.sha256(json.dumps([_plain(value) for value in row]).encode()).digest()
        for row in _rows(model, using)
    )
    return TableSum(len(digests), hashlib.sha256(b"".join(digests)).hexdigest())


def _plain(value: Any) -> Any:
    """A value as JSON, alike from every kind of database."""
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    if isinstance(value, Decimal):
        return str(value.normalize())
    if isinstance(value, bytes | memoryview):
        return bytes(value).hex()
    if isinstance(value, dict):
        return {str(key): _plain(one) for key, one in sorted(value.items())}
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    return value if isinstance(value, int | float | str | None) else str(value)


def _rows(model: type[models.Model], using: str) -> Iterator[Row]:
    names = [field.attname for field in model._meta.local_concrete_fields]
    rows = model._base_manager.using(using).order_by("pk").values_list(*names)
    return iter(rows.iterator(chunk_size=AT_ONCE))


def _copy(model: type[models.Model], source: str, target: str) -> None:
    fields = model._meta.local_concrete_fields
    connection = connections[target]
    columns = ", ".join(connection.ops.quote_name(str(field.column)) for field in fields)
    places = ", ".join(["%s"] * len(fields))
    insert = f"INSERT INTO {_name(target, model)} ({columns}) VALUES ({places})"  # noqa: S608
    rows = _rows(model, source)
    with connection.cursor() as cursor:
        while part := list(islice(rows, AT_ONCE)):
            cursor.executemany(
                insert,
                [
                    [
                        field.get_db_prep_save(value, connection=connection)
                        for field, value in zip(fields, row, strict=True)
                    ]
                    for row in part
                ],
            )


def _compared(source: str, target: str) -> dict[str, TableSum]:
    found = {}
    for model in tables():
        here, there = table_sum(model, source), table_sum(model, target)
        if here != there:
            raise BackupFault(
                _("The table %(table)s is not equal after the move: %(here)d and %(there)d rows.")
                % {"table": model._meta.db_table, "here": here.rows, "there": there.rows}
            )
        found[model._meta.db_table] = there
    return found


def _refuse_living(target: str) -> None:
    if table := table_in_use(connections[target]):
        raise BackupFault(
            _("The database to move to is in use: it holds %s. Name an empty one.") % table
        )


def _freeze(source: str) -> None:
    """Read all tables as of one moment. SQLite's transaction keeps writers out by itself."""
    if connections[source].vendor == "postgresql":
        _run(source, "SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")


@contextmanager
def _without_triggers(target: str) -> Iterator[None]:
    """Issued documents and ledgers refuse to be written as they are: here they are copied."""
    connection = connections[target]
    if connection.vendor == "postgresql":
        names = [_name(target, model) for model in tables()]
        for name in names:
            _run(target, f"ALTER TABLE {name} DISABLE TRIGGER USER")
        yield
        _run(target, "SET CONSTRAINTS ALL IMMEDIATE")  # a row that points nowhere fails here
        for name in names:
            _run(target, f"ALTER TABLE {name} ENABLE TRIGGER USER")
        return
    with connection.cursor() as cursor:
        cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
        triggers = cursor.fetchall()
    for name, _statement in triggers:
        _run(target, f'DROP TRIGGER "{name}"')
    yield
    for _trigger, statement in triggers:
        _run(target, statement)
    connection.check_constraints()


def _continue_numbers(target: str) -> None:
    """The next row gets the number after the last one."""
    for statement in connections[target].ops.sequence_reset_sql(no_style(), tables()):
        _run(target, statement)


def _name(using: str, model: type[models.Model]) -> str:
    return connections[using].ops.quote_name(model._meta.db_table)


def _run(using: str, statement: str) -> None:
    with connections[using].cursor() as cursor:
        cursor.execute(statement)
