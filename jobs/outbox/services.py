"""Asking for deferred work, inside the transaction that makes it necessary."""

import uuid
from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.db.models.functions import Now

from . import nudge
from .models import Job, Mail
from .registry import HANDLERS


def job_enqueue(*, handler: str, payload: Mapping[str, Any], key: str | None = None) -> Job:
    """Write the row; workers hear of it on commit, and would find it anyway.

    The same ``key`` again returns the row already there. Raises LookupError for a
    handler nobody registered: better now than in the night.
    """
    if handler not in HANDLERS:
        raise LookupError(f"no handler {handler!r} is registered")
    values = {"handler": handler, "payload": dict(payload)}
    if key is None:
        job = Job.objects.create(**values)
    else:
        job, _ = Job.objects.get_or_create(key=key, defaults=values)
    transaction.on_commit(nudge.nudge)
    return job


def job_retry(*, job_id: uuid.UUID) -> bool:
    """Give work that was given up another round. False: it is not in that state."""
    retried = Job.objects.filter(pk=job_id, given_up_at__isnull=False, done_at__isnull=True).update(
        given_up_at=None, attempts=0, due_at=Now(), error=""
    )
    transaction.on_commit(nudge.nudge)
    return bool(retried)


@transaction.atomic
def mail_enqueue(
    *, to: str, subject: str, text: str, html: str = "", key: str | None = None
) -> Mail:
    """Keep a mail and have it sent. The same ``key`` again returns the mail already kept."""
    earlier = Job.objects.filter(key=key).first() if key is not None else None
    if earlier is not None:
        return Mail.objects.get(pk=earlier.payload["mail"])
    mail = Mail.objects.create(to=to, subject=" ".join(subject.split())[:200], text=text, html=html)
    job_enqueue(handler="outbox.mail", payload={"mail": str(mail.pk)}, key=key)
    return mail


def mail_sent(*, mail_id: uuid.UUID) -> bool:
    """Mark a mail as sent, once."""
    return bool(Mail.objects.filter(pk=mail_id, sent_at__isnull=True).update(sent_at=Now()))
