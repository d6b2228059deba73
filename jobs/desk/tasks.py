"""The link that a customer asked for by mail."""

from django.utils.translation import gettext_lazy

from jobs.outbox.queues import Queue
from jobs.outbox.registry import Finish, JobInput, handler
from jobs.people.models import Customer

from .link_mail import link_mail


@handler("desk.link_mail", queue=Queue.MAIL, words=gettext_lazy("a customer's new link"))
def link_mail_send(job: JobInput) -> Finish | None:
    """The link is made in the transaction that closes the work: one letter, however often tried."""
    customer = Customer.objects.filter(pk=job.payload["customer"]).exclude(email="").first()
    if customer is None:
        return None
    return lambda: link_mail(customer=customer, key=f"link asked {job.id}")
