"""What the server needs to do its work: database, deferred work, clock, disk; in words."""

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from django.conf import settings
from django.db import connection, transaction
from django.db.models import Max
from django.utils.translation import gettext_lazy as _
from django_stubs_ext import StrOrPromise

from jobs.outbox.selectors import job_longest_due
from jobs.outbox.signs import work_is_swept

from . import damage
from .faults import REMEDIES, ServerFault, fault_of
from .models import Act

# Common practice, no source: room for a backup and a day's photos, and work that waits too long.
LEAST_FREE_BYTES = 500 * 1024 * 1024
LONGEST_WAIT = timedelta(minutes=5)
CLOCKS_DIFFER = timedelta(seconds=5)
CLOCK_STEP = timedelta(minutes=1)  # a correction by a time server is smaller


Said = tuple[StrOrPromise, StrOrPromise]  # the fault and its remedy

TITLES = {
    "disk": _("Room on the disk"),
    "database": _("Database"),
    "queue": _("Deferred work"),
    "clock": _("Clock"),
}


@dataclass(frozen=True)
class ServerCheck:
    """One thing the server needs. ``fault`` is empty where all is well."""

    name: str
    fault: str = ""
    remedy: str = ""

    @property
    def title(self) -> str:
        return str(TITLES.get(self.name, self.name))


def checks() -> list[ServerCheck]:
    """All of them. Of a database that does not answer nothing else is asked."""
    found = [named("disk", disk), named("database", database)]
    if not found[-1].fault:
        found += [named("queue", queue), named("clock", clock)]
    return found


def named(name: str, ask: Callable[[], Said]) -> ServerCheck:
    fault, remedy = ask()
    return ServerCheck(name, str(fault), str(remedy))


def database() -> Said:
    """Whether it can be read and written, and was not found damaged."""
    if damage.is_marked():
        return _said(ServerFault.DAMAGED)
    try:
        with transaction.atomic(), connection.cursor() as cursor:
            # SQLite takes its lock for writing as the transaction begins (BEGIN IMMEDIATE).
            if connection.vendor == "postgresql":
                cursor.execute("SHOW transaction_read_only")
                if cursor.fetchone()[0] == "on":
                    return _said(ServerFault.READ_ONLY)
    except Exception as error:
        fault = fault_of(error)
        if fault is None:
            raise
        return _said(fault)
    return "", ""


def _said(fault: ServerFault) -> Said:
    return fault.label, REMEDIES[fault]


def queue() -> Said:
    """Whether deferred work is looked after, and whether some has waited for too long."""
    if not work_is_swept():
        remedy = _("Start the worker: celery -A paddock worker --beat (README, Processes).")
        return _("Deferred work is not being done."), remedy
    waits = job_longest_due()
    if waits is not None and datetime.now(UTC) - waits.due_at > LONGEST_WAIT:
        remedy = _("One long job may be in the way: wait, or start another worker.")
        return _("Deferred work has waited for more than five minutes."), remedy
    return "", ""


def clock() -> Said:
    """Whether it is later than the newest act, and what the database's clock says."""
    remedy = _("Set the clock of the machine, and have it set by a time server.")
    now = datetime.now(UTC)
    newest = Act.objects.aggregate(at=Max("received_at"))["at"]
    if newest is not None and newest > now + CLOCK_STEP:
        return _("The clock stands before the newest act."), remedy
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT clock_timestamp()")
            there = cursor.fetchone()[0]
        if abs(there - datetime.now(UTC)) > CLOCKS_DIFFER:
            return _("The clocks of the program and of the database differ."), remedy
    return "", ""


def disk() -> Said:
    """Whether there is room where data and backups are written."""
    for folder in (Path(settings.DATA_DIR), Path(settings.BACKUP_DIR)):
        if folder.is_dir() and shutil.disk_usage(folder).free < LEAST_FREE_BYTES:
            return _("Less than 500 MB are free on the disk."), REMEDIES[ServerFault.FULL]
    return "", ""
