"""Mail about documents, through the outbox: kept in the transaction that asks for it."""

from copy import copy
from datetime import timedelta

from django.conf import settings
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import translation
from django.utils.translation import gettext as _

from jobs.outbox.services import mail_enqueue
from jobs.people.dates import business_today
from jobs.people.letters import Letter, letter_written, sender_of_document

from ..enums import DocumentKind
from ..links import token_for
from ..models import Document
from ..money import Money
from ..selectors.prices import days_to_pay

# The page is a surface's, so it is known here by its name only, like every link in mail.
DOCUMENT_VIEW = "document"


def link_to(document: Document) -> str:
    return settings.PUBLIC_URL + reverse(DOCUMENT_VIEW, args=[token_for(document)])


def document_mail(*, document: Document, again: str = "") -> bool:
    """Send the link to a document to its customer. False where no address is known.

    Once for each document; ``again`` (any word) sends it once more.
    """
    to = document.buyer.get("email", "")
    if not to:
        return False
    letter = document_letter(document)
    key = f"billing.mail {document.pk} {again}".strip()
    mail_enqueue(
        to=to,
        subject=letter.subject,
        text=letter.text,
        html=letter.html,
        reply_to=letter.reply_to,
        key=key,
    )
    return True


def document_letter(document: Document) -> Letter:
    """The letter about a document as it is sent, in the document's language."""
    with translation.override(document.language):
        subject = _("%(kind)s %(label)s from %(business)s") % {
            "kind": document.get_kind_display(),
            "label": document.label,
            "business": document.seller["name"],
        }
        return letter_written(
            subject=subject,
            to_name=document.buyer["name"],
            body=render_to_string("billing/mail/document.txt", mail_context(document)),
            sender=sender_of_document(document.seller),
        )


def document_letter_preview(document: Document) -> Letter:
    """As ``document_letter``; of a draft, with what it is given at its issue left open."""
    if not document.is_draft:
        return document_letter(document)
    draft = copy(document)
    draft.label = "…"
    draft.reference = "…" if draft.seller.get("iban") else ""
    draft.due_on = business_today() + timedelta(days=days_to_pay(document.kind))
    return document_letter(draft)


def mail_context(document: Document) -> dict[str, object]:
    return {
        "document": document,
        "kind": document.get_kind_display(),
        "total": Money(abs(document.payable_minor), document.currency).text(document.language),
        "gives_back": document.payable_minor < 0,
        "link": link_to(document),
        "is_quote": document.kind == DocumentKind.QUOTE,
        "asks": document.payable_minor > 0
        and document.kind in (DocumentKind.INVOICE, DocumentKind.DEPOSIT_REQUEST),
    }
