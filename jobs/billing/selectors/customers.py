"""What a customer may see of money: issued documents made out to them, nobody else's."""

from typing import Any

from django.db.models import QuerySet

from jobs.people.models import User
from jobs.people.selectors import customers_of_user
from jobs.trackday.models import Entry

from ..enums import DocumentKind
from ..models import Document, DocumentLine
from .payments import with_open

OWING = (DocumentKind.INVOICE, DocumentKind.DEPOSIT_REQUEST)


def documents_for(*, user: User) -> list[Any]:
    """The newest first, each with ``open``: what is still to pay, nothing on a quote."""
    found = list(with_open(_own(user)).order_by("-issued_at"))
    for document in found:
        if document.kind not in OWING:
            document.open = 0
    return found


def documents_about(*, user: User, entry: Entry) -> list[Any]:
    """Their documents with a line about this entry, the oldest first, each with ``open``."""
    about = DocumentLine.objects.filter(entry=entry).values("document")
    found = list(with_open(_own(user).filter(pk__in=about)).order_by("issued_at", "pk"))
    for document in found:
        if document.kind not in OWING:
            document.open = 0
    return found


def document_for(*, user: User, pk: int) -> Document | None:
    return _own(user).select_related("corrects", "follows").filter(pk=pk).first()


def _own(user: User) -> QuerySet[Document]:
    return Document.objects.filter(customer__in=customers_of_user(user), number__isnull=False)
