"""A letter by mail: begun and ended alike, as plain text and as HTML of the same words."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.template.loader import render_to_string
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from .models import Business
from .selectors import business_title


@dataclass(frozen=True)
class Sender:
    """Who signs a letter. ``email``: where an answer goes; empty: to whom it came from."""

    name: str
    phone: str = ""
    email: str = ""

    @property
    def signature(self) -> str:
        return "\n".join(line for line in (self.name, self.phone, self.email) if line)


@dataclass(frozen=True)
class Letter:
    """What ``jobs.outbox.services.mail_enqueue`` takes, but for the address and the key."""

    subject: str
    text: str
    html: str
    reply_to: str


def sender_of(business: Business) -> Sender:
    return Sender(business_title(business), business.phone, business.email)


def sender_of_document(seller: Mapping[str, str]) -> Sender:
    """Who issued a document, as it was frozen on it."""
    return Sender(seller.get("name", ""), seller.get("phone", ""), seller.get("email", ""))


def letter_written(*, subject: str, to_name: str, body: str, sender: Sender) -> Letter:
    """``body``: paragraphs with an empty line between them, in the language that is active."""
    paragraphs = [part.strip() for part in body.replace("\r\n", "\n").split("\n\n")]
    parts = [
        _("Hello %(name)s,") % {"name": to_name},
        *(part for part in paragraphs if part),
        _("Kind regards"),
        sender.signature,
    ]
    context = {"subject": subject, "language": get_language() or "en", "parts": parts}
    return Letter(
        subject=subject,
        text="\n\n".join(parts) + "\n",
        html=render_to_string("people/letter.html", context),
        reply_to=sender.email,
    )
