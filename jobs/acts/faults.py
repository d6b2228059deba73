"""What keeps the server from writing, whatever is sent: the database is away, full, damaged.

An act that meets such a fault is neither applied nor refused: it waits where it was entered
and is sent again. Any other error of a database comes from what the act contains, would come
again, and must not hold up the acts behind it.
"""

import errno
import logging
import sqlite3
import time
from collections.abc import Iterator

from django.db import DatabaseError, InterfaceError, OperationalError, models
from django.utils.translation import gettext_lazy as _

from . import damage

log = logging.getLogger(__name__)


class ServerFault(models.TextChoices):
    AWAY = "away", _("The database cannot be reached.")
    LOCKED = "locked", _("The database is busy with something else.")
    FULL = "full", _("The disk is full, or the memory.")
    READ_ONLY = "read-only", _("The database can be read only.")
    DAMAGED = "damaged", _("The file of the database is damaged.")
    UNREADABLE = "unreadable", _("A file cannot be read or written.")


# What whoever runs the server does about it.
REMEDIES = {
    ServerFault.AWAY: _(
        "Look whether the database server runs and can be reached (DATABASE_URL), or whether the "
        "folder DATA_DIR is there. The pages answer again by themselves."
    ),
    ServerFault.LOCKED: _(
        "Wait some seconds. If it stays so, another program holds the database: end that one."
    ),
    ServerFault.FULL: _(
        "Free space on the disk of DATA_DIR, for example old files of BACKUP_DIR. The pages "
        "answer again by themselves."
    ),
    ServerFault.READ_ONLY: _(
        "Let the user that runs the program write in DATA_DIR. A disk that became read-only by "
        "itself may be failing: copy everything to another one."
    ),
    ServerFault.DAMAGED: _(
        "Nothing new is accepted, so that nothing more is lost. Keep the files as they are, and "
        "run manage.py check_database: if the database is sound, work goes on, else bring the "
        "newest good backup into an empty place with manage.py restore."
    ),
    ServerFault.UNREADABLE: _(
        "Look whether the user that runs the program may read and write every file in DATA_DIR, "
        "and whether the disk is failing."
    ),
}


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
        if isinstance(one, damage.KnownDamage):
            return ServerFault.DAMAGED
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


LOG_AGAIN_S = 60
_logged: dict[ServerFault, float] = {}  # when each was last written into the log


def fault_note(error: BaseException) -> ServerFault | None:
    """``fault_of``, with a line in the log that says what to do: once a minute for each fault.

    Damage is remembered: from then on nothing new is accepted (see ``damage.py``).
    """
    fault = fault_of(error)
    if fault is None:
        return None
    if fault == ServerFault.DAMAGED:
        damage.mark()
    now = time.monotonic()
    if now - _logged.get(fault, -LOG_AGAIN_S) >= LOG_AGAIN_S:
        _logged[fault] = now
        lost = _("Nothing that was confirmed is lost; what is sent now is not written.")
        log.error("%s %s %s (%s)", fault.label, lost, REMEDIES[fault], error)
    return fault


def _chain(error: BaseException) -> Iterator[BaseException]:
    """A database's error and the driver's behind it."""
    found: BaseException | None = error
    while found is not None and isinstance(error, DatabaseError | InterfaceError):
        yield found
        found = found.__cause__
