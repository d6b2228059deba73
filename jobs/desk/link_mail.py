"""Mail the office sends to customers."""

import uuid

from django.conf import settings
from django.db import transaction
from django.urls import reverse
from django.utils.translation import gettext as _

from jobs.outbox.models import Mail
from jobs.outbox.services import mail_enqueue
from jobs.people.enums import EditVerb, TrailEvent
from jobs.people.links import token_make
from jobs.people.models import Customer, User
from jobs.people.selectors import business_get, business_title
from jobs.people.services import edit_note
from jobs.people.trail import trail_note


def link_url(customer: Customer) -> str:
    """The address that opens this customer's pages; whoever has it sees them."""
    token = token_make(customer=customer)
    return settings.PUBLIC_URL + reverse("portal:open", kwargs={"token": token})


@transaction.atomic
def link_send(*, customer: Customer, by: User, request_id: uuid.UUID) -> Mail:
    """Mail a customer the link to his pages; the same request again sends nothing more."""
    name = business_title(business_get())
    text = _(
        "Hello %(customer)s,\n\n"
        "here is what was done on your bike, why, and what it came to:\n\n"
        "%(url)s\n\n"
        "The link is yours alone and opens for %(days)d days. "
        "Pass it on only to people who may see everything on it.\n\n"
        "%(business)s\n"
    ) % {
        "customer": customer.name,
        "url": link_url(customer),
        "days": settings.LINK_DAYS,
        "business": name,
    }
    mail = mail_enqueue(
        to=customer.email,
        subject=_("Your bikes at %(business)s") % {"business": name},
        text=text,
        key=f"link {request_id}",
    )
    edit_note(by=by, verb=EditVerb.SENT, what="link", title=customer.email, ref=customer.pk)
    trail_note(TrailEvent.LINK_SENT, by=by, ref=customer.pk)
    return mail
