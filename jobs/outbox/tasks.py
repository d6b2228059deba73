"""What Celery calls: the one task that does a row, the sweep; and the handler of mail."""

import uuid
from functools import partial

from celery import shared_task
from django.utils.translation import gettext_lazy as _

from . import selectors, services, signs, worker
from .enums import ProcessPart
from .mail_server import letter_send, mail_is_set_up, server_to_send_by
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
    signs.sign(ProcessPart.WORK)
    worker.ask_for_scheduled()
    for job in worker.due_without_message():
        job_send(job.pk, job.handler)


@handler("outbox.mail", queue=Queue.MAIL, words=_("a mail"))
def mail(job: JobInput) -> Finish | None:
    """Send one mail; where none is set up it is only kept.

    A worker that dies right after sending sends it again under the same Message-ID, by which
    mail programs know a duplicate (RFC 5322, section 3.6.4).
    """
    kept = selectors.mail_get(mail_id=uuid.UUID(job.payload["mail"]))
    if kept.sent_at is not None or not mail_is_set_up():
        return None
    letter_send(
        server=server_to_send_by(),
        to=kept.to,
        subject=kept.subject,
        text=kept.text,
        html=kept.html,
        reply_to=kept.reply_to,
        message_id=str(kept.pk),
    )
    return partial(services.mail_sent, mail_id=kept.pk)
