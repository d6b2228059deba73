"""What keeps the server from writing, whatever is sent: the database is away, full, damaged.

An act that meets such a fault is neither applied nor refused: it waits where it was entered
and is sent again. Any other error of a database comes from what the act contains, would come
again, and must not hold up the acts behind it.
"""

import errno
import sqlite3
from collections.abc import Iterator

from django.db import DatabaseError, InterfaceError, OperationalError, models
from django.utils.translation import gettext_lazy as _


class ServerFault(models.TextChoices):
    AWAY = "away", _("The database cannot be reached.")
    LOCKED = "locked", _("The database is busy with something else.")
    FULL = "full", _("The disk is full, or the memory.")
    READ_ONLY = "read-only", _("The database can be read only.")
    DAMAGED = "damaged", _("The file of the database is damaged.")
    UNREADABLE = "unreadable", _("A file cannot be read or written.")


RETRY_AFTER_S = "10"  # when an act that waits is to be sent again

# The primary result codes of SQLite (sqlite.org/rescode.html).
OF_SQLITE = {
    sqlite3.SQLITE_BUSY: ServerFault.LOCKED,
    sqlite3.SQLITE_LOCKED: ServerFault.LOCKED,
    sqlite3.SQLITE_PROTOCOL: ServerFault.LOCKED,
    sqlite3.SQLITE_NOMEM: ServerFault.FULL,
    sqlite3.SQLITE_FULL: ServerFault.FULL,
    sqlite3.SQLITE_READONLY: ServerFault.READ_ONLY,
    sqlite3.SQLITE_IOERR: ServerFault.UNREADABLE,
    sqlite3.SQLITE_CANTOPEN: ServerFault.AWAY,
    sqlite3.SQLITE_CORRUPT: ServerFault.DAMAGED,
    sqlite3.SQLITE_NOTADB: ServerFault.DAMAGED,
}
# SQLSTATE (PostgreSQL's manual, appendix A), the longest beginning first.
OF_POSTGRESQL = {
    "25006": ServerFault.READ_ONLY,
    "53100": ServerFault.FULL,
    "53200": ServerFault.FULL,
    "XX001": ServerFault.DAMAGED,
    "XX002": ServerFault.DAMAGED,
    "08": ServerFault.AWAY,  # connection
    "53": ServerFault.AWAY,  # too many connections
    "57": ServerFault.AWAY,  # shut down, or starting
    "58": ServerFault.UNREADABLE,
    "40": ServerFault.LOCKED,  # deadlock, serialization
    "55": ServerFault.LOCKED,
}
OF_FILES = {
    errno.ENOSPC: ServerFault.FULL,
    errno.EDQUOT: ServerFault.FULL,
    errno.EROFS: ServerFault.READ_ONLY,
}


def fault_of(error: BaseException) -> ServerFault | None:
    """The fault behind an error; None where what was sent is to blame, or the program."""
    for one in _chain(error):
        if isinstance(one, sqlite3.Error):
            return OF_SQLITE.get(getattr(one, "sqlite_errorcode", 0) & 0xFF)
        state = getattr(one, "sqlstate", None)
        if state:
            found = (OF_POSTGRESQL.get(state[:length]) for length in (5, 2))
            return next((fault for fault in found if fault), None)
    if isinstance(error, OperationalError | InterfaceError):
        return ServerFault.AWAY  # the driver itself lost the connection, or found none
    if isinstance(error, MemoryError):
        return ServerFault.FULL
    if isinstance(error, OSError):
        return OF_FILES.get(error.errno or 0, ServerFault.UNREADABLE)
    return None


def _chain(error: BaseException) -> Iterator[BaseException]:
    """A database's error and the driver's behind it."""
    found: BaseException | None = error
    while found is not None and isinstance(error, DatabaseError | InterfaceError):
        yield found
        found = found.__cause__
