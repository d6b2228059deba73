"""A damaged database accepts nothing new.

SQLite finds damage only where it reads: one table may be broken while rows are still written
into the others, and what is written then may not survive the repair. So damage that was found
once is remembered in a file of DATA_DIR, for every process and over a restart, until
``manage.py check_database`` finds the database sound. A database that was restored into
another place begins without that file.
"""

import logging
import time
from datetime import UTC, datetime
from pathlib import Path

from django.apps import apps
from django.conf import settings
from django.db import DatabaseError, connection

log = logging.getLogger(__name__)

NAME = "database-damaged"
LOOK_EVERY_S = 15 * 60.0
MOST_SENTENCES = 10


class KnownDamage(DatabaseError):
    """The database was found damaged earlier: nothing is written into it."""


def _file() -> Path:
    return Path(settings.DATA_DIR) / NAME


def is_marked() -> bool:
    return _file().exists()


def mark() -> None:
    """Remember that the database is damaged. On a disk that cannot be written nothing is."""
    if not is_marked():
        try:
            _file().write_text(datetime.now(UTC).isoformat())
        except OSError as error:
            log.error("The damage could not be noted in %s: %s", _file(), error)


def unmark() -> None:
    _file().unlink(missing_ok=True)


def refuse_while_marked() -> None:
    """Raises KnownDamage."""
    if is_marked():
        raise KnownDamage("the database was found damaged")


class LookedForDamage:
    """When this process last looked."""

    at = -LOOK_EVERY_S


def look() -> None:
    """Called at every sweep of the outbox; has SQLite check its file every quarter of an hour.

    PostgreSQL has nothing as quick: its damage is found where a page or an act meets it.
    """
    now = time.monotonic()
    if connection.vendor != "sqlite" or now - LookedForDamage.at < LOOK_EVERY_S:
        return
    LookedForDamage.at = now
    found = sqlite_faults("quick_check")
    if found:
        log.error("The database is damaged, nothing new is accepted: %s", found[0])
        mark()


def sqlite_faults(pragma: str) -> list[str]:
    """What ``quick_check`` or ``integrity_check`` finds, a sentence each. Empty: nothing."""
    try:
        with connection.cursor() as cursor:
            cursor.execute(f"PRAGMA {pragma}({MOST_SENTENCES})")
            found = [str(row[0]) for row in cursor.fetchall()]
    except DatabaseError as error:
        return [str(error)]
    return [] if found == ["ok"] else found


def faults_of_every_row() -> list[str]:
    """Read every row of every table. Returns the tables that could not be read, with the reason."""
    found = []
    for model in apps.get_models():
        table = model._meta.db_table
        try:
            for _row in model._base_manager.values_list().iterator(chunk_size=2000):
                pass
        except (DatabaseError, ValueError) as error:
            found.append(f"{table}: {error}")
    return found
