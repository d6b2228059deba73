"""What Celery calls: the one task that does a row, the sweep; and the handler of mail."""

import uuid
from functools import partial

from celery import shared_task
from django.conf import settings
from django.core.mail import EmailMultiAlternatives

from . import selectors, services, worker
from .messages import job_send
from .queues import Queue
from .registry import Finish, JobInput, handler


@shared_task(name="outbox.run")  # type: ignore[untyped-decorator]
def run(job_id: str) -> None:
    """Do one row, unless it is done, in somebody's hands or not due."""
    worker.do(uuid.UUID(job_id))


@shared_task(name="outbox.sweep")  # type: ignore[untyped-decorator]
def sweep() -> None:
    """Send a message for every row that is due and has none on its way (see paddock's beat)."""
    worker.ask_for_scheduled()
    for job in worker.due_without_message():
        job_send(job.pk, job.handler)


@handler("outbox.mail", queue=Queue.MAIL)
def mail(job: JobInput) -> Finish | None:
    """Send one mail; where none is set up it is only kept.

    A worker that dies right after sending sends it again under the same Message-ID, by which
    mail programs know a duplicate (RFC 5322, section 3.6.4).
    """
    kept = selectors.mail_get(mail_id=uuid.UUID(job.payload["mail"]))
    if kept.sent_at is not None or not selectors.mail_is_set_up():
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
