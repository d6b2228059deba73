"""Making a backup and noting what became of it."""

from pathlib import Path

from django.conf import settings
from django.db import connection, transaction
from django.utils.translation import gettext as _

from jobs.outbox.daily import OnceADay
from jobs.outbox.selectors import jobs_waiting
from jobs.outbox.services import job_enqueue
from jobs.people.selectors import business_get

from .enums import MAKE
from .faults import BackupFault
from .making import Made, make
from .models import Backup


def backup_make(*, folder: Path | None = None, passphrase: str | None = None) -> Made:
    """Make and try a backup; the row says so, also when it failed. Raises BackupFault.

    ``folder`` and ``passphrase`` default to the settings BACKUP_DIR and BACKUP_PASSPHRASE.
    """
    if Backup._meta.db_table not in connection.introspection.table_names():
        raise BackupFault(_("There is no database here yet: run manage.py setup first."))
    try:
        made = make(
            Path(settings.BACKUP_DIR if folder is None else folder),
            settings.BACKUP_PASSPHRASE if passphrase is None else passphrase,
        )
    except BackupFault as fault:
        Backup.objects.create(fault=str(fault))
        raise
    Backup.objects.create(
        file=made.file.name,
        size=made.size,
        rows=made.rows,
        files=made.files,
        customers=made.customers,
        database_tried=made.database_tried,
    )
    return made


_nightly = OnceADay(MAKE)


@transaction.atomic
def backup_ask() -> bool:
    """Have a backup made by the worker now. False: one is already waiting or being made."""
    if jobs_waiting().filter(handler=MAKE).exists():
        return False
    job_enqueue(handler=MAKE, payload={})
    return True


def nightly_ask() -> None:
    """Ask for the day's backup once BACKUP_HOUR has passed where the business is.

    A laptop that was off in the night makes it when it is started. Called every few seconds;
    it asks the database once a minute. A night whose backup failed is not tried again: the
    desk says so, and offers it.
    """
    if settings.BACKUP_HOUR is not None:
        _nightly.ask(zone=lambda: business_get().timezone, hour=settings.BACKUP_HOUR)
