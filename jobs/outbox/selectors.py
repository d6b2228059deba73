import uuid

from django.conf import settings
from django.db.models import QuerySet

from .models import Job, Mail

KEEPS_ONLY = "django.core.mail.backends.dummy.EmailBackend"


def mails_recent(*, limit: int = 100) -> QuerySet[Mail]:
    """The newest mails first, those still waiting included."""
    return Mail.objects.order_by("-created_at", "pk")[:limit]


def mail_is_set_up() -> bool:
    """Whether mail leaves this machine at all; without MAIL_URL every letter is only kept."""
    return settings.EMAIL_BACKEND != KEEPS_ONLY


def letters_sent(key: str, *, waiting: bool = False) -> int:
    """How many letters whose key begins with ``key`` went out; ``waiting``: those to come too."""
    jobs = Job.objects.filter(key__startswith=key)
    return jobs.count() if waiting else jobs.filter(done_at__isnull=False).count()


def jobs_waiting() -> QuerySet[Job]:
    return Job.objects.filter(done_at__isnull=True, given_up_at__isnull=True)


def jobs_given_up() -> QuerySet[Job]:
    """What a person has to look at: it failed every time it was tried."""
    return Job.objects.filter(done_at__isnull=True, given_up_at__isnull=False)


def mail_get(*, mail_id: uuid.UUID) -> Mail:
    return Mail.objects.get(pk=mail_id)
