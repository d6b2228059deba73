"""Deferred work of this room: the evidence of each bike, counted once a day and kept."""

from django.utils.translation import gettext_lazy as _

from jobs.outbox.queues import Queue
from jobs.outbox.registry import Finish, JobInput, handler, scheduled

from . import services


@handler(services.COUNT, queue=Queue.PLANNING, words=_("counting the evidence"))
def count_evidence(job: JobInput) -> Finish | None:
    services.evidence_keep()
    return None


scheduled(services.evidence_count_ask)
