"""Mail about documents, through the outbox: kept in the transaction that asks for it."""

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import translation
from django.utils.translation import gettext as _

from jobs.outbox.services import mail_enqueue
from jobs.people.models import User

from ..enums import DocumentKind
from ..links import token_for
from ..models import Document, Reminder
from ..money import Money
from ..selectors.payments import document_open
from ..selectors.prices import terms_get

# The page is a surface's, so it is known here by its name only, like every link in mail.
DOCUMENT_VIEW = "document"


def link_to(document: Document) -> str:
    return settings.PUBLIC_URL + reverse(DOCUMENT_VIEW, args=[token_for(document.pk)])


def document_mail(*, document: Document, again: str = "") -> bool:
    """Send the link to a document to its customer. False where no address is known.

    Once for each document; ``again`` (any word) sends it once more.
    """
    to = document.buyer.get("email", "")
    if not to:
        return False
    with translation.override(document.language):
        subject = _("%(kind)s %(label)s from %(business)s") % {
            "kind": document.get_kind_display(),
            "label": document.label,
            "business": document.seller["name"],
        }
        text = render_to_string("billing/mail/document.txt", mail_context(document))
    key = f"billing.mail {document.pk} {again}".strip()
    mail_enqueue(to=to, subject=subject, text=text, key=key)
    return True


def mail_context(document: Document) -> dict[str, object]:
    return {
        "document": document,
        "kind": document.get_kind_display(),
        "total": Money(document.payable_minor, document.currency).text(document.language),
        "link": link_to(document),
        "is_quote": document.kind == DocumentKind.QUOTE,
        "asks": document.payable_minor > 0
        and document.kind in (DocumentKind.INVOICE, DocumentKind.DEPOSIT_REQUEST),
    }


@transaction.atomic
def reminder_send(*, document: Document, by: User) -> Reminder:
    """Send a reminder of what is still to be paid, and keep it. Refused while nothing is."""
    still_open = document_open(document)
    if still_open <= 0:
        raise ValidationError(_("Nothing is open on %(label)s.") % {"label": document.label})
    to = document.buyer.get("email", "")
    if not to:
        raise ValidationError(_("%(name)s has no mail address.") % {"name": document.buyer["name"]})
    with translation.override(document.language):
        context = mail_context(document) | {
            "open": Money(still_open, document.currency).text(document.language),
            "own_words": terms_get().reminder_text,
            "earlier": document.reminders.count(),
        }
        text = render_to_string("billing/mail/reminder.txt", context)
        subject = _("A reminder: %(kind)s %(label)s") % {
            "kind": document.get_kind_display(),
            "label": document.label,
        }
    reminder = Reminder.objects.create(document=document, text=text, open_minor=still_open, by=by)
    mail_enqueue(to=to, subject=subject, text=text, key=f"billing.reminder {reminder.pk}")
    return reminder
