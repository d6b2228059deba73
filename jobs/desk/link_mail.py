"""Mail the office sends to customers."""

import uuid
from datetime import timedelta

import segno
from django.conf import settings
from django.db import transaction
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import override

from jobs.outbox.models import Mail
from jobs.outbox.services import mail_enqueue
from jobs.people.enums import EditVerb, TrailEvent
from jobs.people.letters import Letter, letter_written, sender_of
from jobs.people.links import AT_THE_VAN, token_make
from jobs.people.models import Business, Customer, User
from jobs.people.selectors import business_get, business_title
from jobs.people.services import edit_note
from jobs.people.trail import trail_note


def link_url(customer: Customer, lasts: timedelta | None = None) -> str:
    """The address that signs this customer in, once; ``lasts`` as for ``token_make``."""
    token = token_make(customer=customer, lasts=lasts)
    return settings.PUBLIC_URL + reverse("portal:open", kwargs={"token": token})


def link_code(customer: Customer) -> SafeString:
    """A link for a few minutes, as the code a phone's camera reads."""
    code = segno.make_qr(link_url(customer, AT_THE_VAN), error="m", boost_error=False)
    svg = code.svg_inline(border=4, dark="#000", light="#fff", omitsize=True, svgclass="code")
    return mark_safe(svg)  # noqa: S308  drawn by segno from an address of our own


@transaction.atomic
def link_send(*, customer: Customer, by: User, request_id: uuid.UUID) -> Mail:
    """Mail a customer the link to their pages; the same request again sends nothing more."""
    mail = link_mail(customer=customer, key=f"link {request_id}")
    edit_note(by=by, verb=EditVerb.SENT, what="link", title=customer.email, ref=customer.pk)
    trail_note(TrailEvent.LINK_SENT, by=by, ref=customer.pk)
    return mail


def link_mail(*, customer: Customer, key: str) -> Mail:
    """The letter with the link, which works once."""
    letter = link_letter(customer=customer, url=link_url(customer))
    return mail_enqueue(
        to=customer.email,
        subject=letter.subject,
        text=letter.text,
        html=letter.html,
        reply_to=letter.reply_to,
        key=key,
    )


def link_preview(customer: Customer) -> Letter:
    """The letter as it would be sent; its link is made with the sending."""
    opens = settings.PUBLIC_URL + reverse("portal:open", kwargs={"token": "x"})
    return link_letter(customer=customer, url=opens.removesuffix("x/") + "…")


def link_letter(*, customer: Customer, url: str) -> Letter:
    """In the customer's language, else the business's."""
    business = business_get()
    with override(customer.language or business.language):
        return _letter(customer, business, url)


def _letter(customer: Customer, business: Business, url: str) -> Letter:
    body = _(
        "here is what was done on your bike, why, and what it came to:\n\n"
        "%(url)s\n\n"
        "The link is yours alone. It signs you in once, within %(days)d days; for a new one, "
        "give your address at %(again)s"
    ) % {
        "url": url,
        "days": settings.LINK_DAYS,
        "again": settings.PUBLIC_URL + reverse("portal:renew"),
    }
    return letter_written(
        subject=_("Your bikes at %(business)s") % {"business": business_title(business)},
        to_name=customer.name,
        body=body,
        sender=sender_of(business),
    )
