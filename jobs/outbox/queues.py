"""The queues that deferred work waits in, so that one kind never waits behind another."""

from enum import StrEnum


class Queue(StrEnum):
    """``SWEEP`` is the outbox's own: rows whose message or whose worker was lost."""

    MAIL = "mail"
    DOCUMENTS = "documents"
    PLANNING = "planning"
    PHOTOS = "photos"
    BACKUPS = "backups"
    SWEEP = "sweep"
