"""Asking for deferred work, inside the transaction that makes it necessary."""

import uuid
from collections.abc import Mapping
from functools import partial
from typing import Any

from django.db import transaction
from django.db.models.functions import Now

from .mail_password import password_keep
from .mail_server import MailServer
from .messages import job_send
from .models import KEY_LENGTH, Job, Mail, MailAccount
from .registry import HANDLERS
from .request_id import request_id


def job_enqueue(*, handler: str, payload: Mapping[str, Any], key: str | None = None) -> Job:
    """Write the row; a worker is told of it on commit, and would find it anyway.

    The same ``key`` again returns the row already there. Raises LookupError for a
    handler nobody registered: now, and not when a worker takes the row up. Raises ValueError
    for a key too long for its column, which SQLite would take.
    """
    if handler not in HANDLERS:
        raise LookupError(f"no handler {handler!r} is registered")
    if key is not None and len(key) > KEY_LENGTH:
        raise ValueError(f"the key of {handler} has {len(key)} characters, {KEY_LENGTH} at most")
    values = {
        "handler": handler,
        "payload": dict(payload),
        "sent_at": Now(),
        "request_id": request_id(),
    }
    if key is None:
        job, is_new = Job.objects.create(**values), True
    else:
        job, is_new = Job.objects.get_or_create(key=key, defaults=values)
    if is_new:
        transaction.on_commit(partial(job_send, job.pk, handler))
    return job


def job_retry(*, job_id: uuid.UUID) -> bool:
    """Have work that was given up tried again. False: it is not in that state."""
    given_up = Job.objects.filter(pk=job_id, given_up_at__isnull=False, done_at__isnull=True)
    retried = given_up.update(given_up_at=None, attempts=0, due_at=Now(), sent_at=Now(), error="")
    if retried:
        handler = Job.objects.values_list("handler", flat=True).get(pk=job_id)
        transaction.on_commit(partial(job_send, job_id, handler))
    return bool(retried)


@transaction.atomic
def mail_enqueue(
    *,
    to: str,
    subject: str,
    text: str,
    html: str = "",
    reply_to: str = "",
    key: str | None = None,
) -> Mail:
    """Keep a mail and have it sent. The same ``key`` again returns the mail already kept."""
    earlier = Job.objects.filter(key=key).first() if key is not None else None
    if earlier is not None:
        return Mail.objects.get(pk=earlier.payload["mail"])
    mail = Mail.objects.create(
        to=to, reply_to=reply_to, subject=" ".join(subject.split())[:200], text=text, html=html
    )
    job_enqueue(handler="outbox.mail", payload={"mail": str(mail.pk)}, key=key)
    return mail


def mail_sent(*, mail_id: uuid.UUID) -> bool:
    """Mark a mail as sent, once."""
    return bool(Mail.objects.filter(pk=mail_id, sent_at__isnull=True).update(sent_at=Now()))


def mail_account_keep(*, account: MailAccount, password: str) -> None:
    """Keep the mail server set on screen; an empty ``password`` leaves the one kept."""
    if password:
        password_keep(server=account.server, password=password)
        account.proven_as = ""
    account.save()


def mail_server_proven(*, server: MailServer) -> None:
    """Note that a test letter went out by this server."""
    MailAccount.objects.update_or_create(defaults={"proven_as": server.proof})
