"""Which charges are already on a document: on a draft, or on an invoice not credited."""

from django.db.models import F, Q, Sum
from django.db.models.functions import Coalesce

from ..enums import DocumentKind
from ..models import Document, DocumentAllowance, DocumentLine


def by_charge(entry_ids: list[int]) -> dict[tuple[int, str], int]:
    """(entry, key) -> document. What was credited in full may be charged again."""
    taken: dict[tuple[int, str], int] = {}
    lines = (
        DocumentLine.objects.filter(entry__in=entry_ids, document__kind=DocumentKind.INVOICE)
        .exclude(charge_key="")
        .annotate(
            credited=Coalesce(
                Sum(
                    "credited_by__quoted_minor",
                    filter=Q(credited_by__document__number__isnull=False),
                ),
                0,
            )
        )
    )
    for entry_id, key, document_id, quoted, credited in lines.values_list(
        "entry", "charge_key", "document", "quoted_minor", "credited"
    ):
        if credited != quoted or quoted == 0:
            taken[entry_id, key] = document_id
    allowances = DocumentAllowance.objects.filter(
        entry__in=entry_ids, document__kind=DocumentKind.INVOICE
    ).exclude(document__in=_credited_in_full(entry_ids))
    for entry_id, key, document_id in allowances.values_list("entry", "charge_key", "document"):
        taken[entry_id, key] = document_id
    return taken


def _credited_in_full(entry_ids: list[int]) -> list[int]:
    """Invoices credited to the last cent."""
    rows = (
        Document.objects.filter(kind=DocumentKind.INVOICE, allowances__entry__in=entry_ids)
        .distinct()
        .filter(number__isnull=False)
    )
    totals = {
        pk: gross + rounding
        for pk, gross, rounding in rows.values_list("pk", "gross_minor", "rounding_minor")
    }
    credited = (
        Document.objects.filter(corrects__in=list(totals), number__isnull=False)
        .values("corrects")
        .annotate(total=Sum(F("gross_minor") + F("rounding_minor")))
    )
    undone = ((row["corrects"] or 0, row["total"]) for row in credited)
    return [pk for pk, total in undone if total == totals[pk]]
