"""How old the last good backup is, whether one is being made, and what else there is."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from django.conf import settings

from jobs.outbox.selectors import jobs_waiting
from jobs.people.models import Customer

from .enums import MAKE
from .models import Backup
from .rotation import made_at

WARN_AFTER = timedelta(hours=36)  # a day's work at most would be lost (common practice, no source)


@dataclass(frozen=True)
class BackupState:
    """``last``: the newest good one; ``failed``: a newer try that failed.

    ``before_all``: the newest good one holds no customer, and now there are some. Made each
    night, the first is often of an empty place, and its age says nothing about today's work.
    """

    last: Backup | None
    failed: Backup | None
    warn: bool
    before_all: bool = False
    running: bool = False


def backup_state() -> BackupState:
    """Three queries; one more where the newest good one holds no customer."""
    last = last_backup()
    failed = Backup.objects.exclude(fault="").first()
    if failed and last and failed.at < last.at:
        failed = None
    old = last is None or datetime.now(UTC) - last.at > WARN_AFTER
    before_all = bool(last and last.customers == 0 and Customer.objects.exists())
    running = jobs_waiting().filter(handler=MAKE).exists()
    warn = old or before_all or failed is not None
    return BackupState(last, failed, warn, before_all, running)


def last_backup() -> Backup | None:
    """The newest good one. One query."""
    return Backup.objects.filter(fault="").first()


def backup_file(backup: Backup) -> Path | None:
    """The file of a backup, if it is still in the folder and encrypted; else None.

    A file that is not encrypted holds the key that signs every link and session, and every
    customer, to be read by whoever comes by it: no browser is handed one.
    """
    file = Path(settings.BACKUP_DIR) / backup.file
    locked = file.suffix == ".tar" and made_at(file) is not None
    return file if locked and file.is_file() else None
