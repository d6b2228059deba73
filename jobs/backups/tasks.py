"""A backup made by the worker: each night, or because somebody asked for one."""

from django.utils.translation import gettext_lazy as _

from jobs.outbox.queues import Queue
from jobs.outbox.registry import Finish, JobInput, handler, scheduled

from . import services
from .enums import MAKE
from .faults import BackupFault


@handler(MAKE, queue=Queue.BACKUPS, words=_("a backup"))
def make(work: JobInput) -> Finish | None:
    """One try; the row that ``backup_make`` writes says what became of it, also if it failed."""
    try:
        services.backup_make()
    except BackupFault:
        return None
    return None


scheduled(services.nightly_ask)
