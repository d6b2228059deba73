"""The project's one Celery task, and the handler of mail."""

import uuid
from functools import partial

from celery import shared_task
from django.conf import settings
from django.core.mail import EmailMultiAlternatives

from . import selectors, services, worker
from .registry import Finish, Work, handler


@shared_task(name="outbox.drain")
def drain() -> int:
    return worker.drain()


@handler("outbox.mail")
def mail(work: Work) -> Finish | None:
    """Send one mail. A worker that dies right after sending sends it again under the same
    Message-ID, by which mail programs know a duplicate (RFC 5322, section 3.6.4)."""
    kept = selectors.mail_get(mail_id=uuid.UUID(work.payload["mail"]))
    if kept.sent_at is not None:
        return None
    domain = settings.DEFAULT_FROM_EMAIL.rpartition("@")[2].strip("> ") or "localhost"
    message = EmailMultiAlternatives(
        subject=kept.subject,
        body=kept.text,
        to=[kept.to],
        headers={"Message-ID": f"<{kept.pk}@{domain}>"},
    )
    if kept.html:
        message.attach_alternative(kept.html, "text/html")
    message.send()
    return partial(services.mail_sent, mail_id=kept.pk)
