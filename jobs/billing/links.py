"""Signed links by which somebody without an account opens one document, for a while."""

from django.core import signing

SALT = "billing.document"
DAYS = 90


def token_for(document_id: int) -> str:
    return signing.dumps(document_id, salt=SALT)


def document_id_from(token: str) -> int | None:
    """The document a link opens; None for a changed or an old link."""
    try:
        found = signing.loads(token, salt=SALT, max_age=DAYS * 24 * 3600)
    except signing.BadSignature:
        return None
    return found if isinstance(found, int) else None
