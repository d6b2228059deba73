import uuid

from django.db.models import QuerySet
from django.db.models.functions import Now

from .models import Job, Mail


def mails_recent(*, limit: int = 100) -> QuerySet[Mail]:
    """The newest mails first, those still waiting included."""
    return Mail.objects.order_by("-created_at", "pk")[:limit]


def mails_refused() -> dict[str, Job]:
    """The work of each mail that was tried and did not go out, by the mail's id. One query."""
    tried = Job.objects.filter(handler="outbox.mail", done_at__isnull=True).exclude(error="")
    return {job.payload["mail"]: job for job in tried}


def jobs_waiting() -> QuerySet[Job]:
    return Job.objects.filter(done_at__isnull=True, given_up_at__isnull=True)


def jobs_given_up() -> QuerySet[Job]:
    """What a person has to look at: it failed every time it was tried."""
    return Job.objects.filter(done_at__isnull=True, given_up_at__isnull=False)


def job_longest_due() -> Job | None:
    """The work that has been due for the longest time; what waits for its next try is not due."""
    return jobs_waiting().filter(lease__isnull=True, due_at__lte=Now()).order_by("due_at").first()


def mail_get(*, mail_id: uuid.UUID) -> Mail:
    return Mail.objects.get(pk=mail_id)
