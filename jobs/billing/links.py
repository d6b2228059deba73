"""Signed links by which somebody without an account opens one document, for a while.

A link holds the version of its customer's links: when they are withdrawn, it opens nothing.
"""

from django.core import signing

from .models import Document

SALT = "billing.document"
DAYS = 90


def token_for(document: Document) -> str:
    return signing.dumps([document.pk, document.customer.link_version], salt=SALT)


def document_from(token: str) -> Document | None:
    """The issued document a link opens; None for a changed, an old or a withdrawn link."""
    try:
        pk, version = signing.loads(token, salt=SALT, max_age=DAYS * 24 * 3600)
    except (signing.BadSignature, TypeError, ValueError):
        return None
    rows = Document.objects.select_related("acceptance", "corrects", "follows", "customer")
    return rows.filter(pk=pk, customer__link_version=version, number__isnull=False).first()
