"""Where money stands: sums of the ledger (``Allocation``), by document and on account."""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from django.db.models import F, Min, OuterRef, Q, QuerySet, Subquery, Sum

from jobs.people.models import Customer
from jobs.people.selectors import same_person

from ..enums import AllocationReason, DocumentKind
from ..models import Allocation, Document, DocumentLine

STANDS = Q(reverses__isnull=True, reversed_by__isnull=True)
WORTH = F("gross_minor") + F("rounding_minor")


def standing_on(rows: QuerySet[Allocation]) -> int:
    return rows.aggregate(total=Sum("amount_minor"))["total"] or 0


def held(deposit: Document) -> int:
    """Minor units that stand at a deposit request: received, and not used or given back."""
    return standing_on(Allocation.objects.filter(document=deposit))


def free_credit(customer: Customer) -> int:
    """Minor units on account of a person, all their rows together: they pay no document."""
    return standing_on(
        Allocation.objects.filter(customer__in=same_person(customer), document__isnull=True)
    )


@dataclass(frozen=True)
class SourceSum:
    """What one payment or one credit note has in a place."""

    customer_id: int
    payment_id: Any
    credit_note_id: int | None
    minor: int


def sources(rows: QuerySet[Allocation]) -> list[SourceSum]:
    """What stands in a place, by where it is from: payments first, the oldest first."""
    sums = (
        rows.order_by()
        .values("customer", "payment", "credit_note")
        .annotate(total=Sum("amount_minor"), first=Min("pk"))
        .filter(total__gt=0)
    )
    ordered = sorted(sums, key=lambda row: (row["payment"] is None, row["first"]))
    return [
        SourceSum(row["customer"], row["payment"], row["credit_note"], row["total"])
        for row in ordered
    ]


@dataclass(frozen=True)
class MovedSum:
    """Money moved by hand to a document, or below zero away from it; ``other``: none, credit."""

    other: Document | None
    minor: int


def moves_of(document: Document) -> list[MovedSum]:
    """What stands moved to a document, or away from it, by where it came from or went."""
    rows = Allocation.objects.filter(STANDS, document=document, reason=AllocationReason.MOVED)
    sums: dict[Document | None, int] = {}
    for row in rows.select_related("pair__document", "paired__document"):
        other = row.pair.document if row.pair else row.paired.document
        sums[other] = sums.get(other, 0) + row.amount_minor
    return [MovedSum(other, minor) for other, minor in sums.items() if minor]


def standing_invoices() -> QuerySet[Document]:
    """Issued invoices that are not credited to the last cent."""
    notes = Document.objects.filter(corrects=OuterRef("pk"), number__isnull=False).order_by()
    credited = notes.values("corrects").annotate(total=Sum(WORTH)).values("total")
    return (
        Document.objects.filter(kind=DocumentKind.INVOICE, number__isnull=False)
        .annotate(credited_in_all=Subquery(credited))
        .filter(Q(credited_in_all__isnull=True) | ~Q(credited_in_all=WORTH))
    )


def deposits_for(entry_ids: Collection[int]) -> QuerySet[Document]:
    """Deposit requests of the quotes for any of these entries, whoever was asked."""
    return (
        Document.objects.filter(
            kind=DocumentKind.DEPOSIT_REQUEST,
            number__isnull=False,
            follows__lines__entry__in=entry_ids,
        )
        .distinct()
        .order_by("pk")
    )


def entries_of(document: Document) -> set[int]:
    """The entries on a document's lines."""
    found = document.lines.filter(entry__isnull=False).values_list("entry", flat=True)
    return {pk for pk in found if pk is not None}


def replaced_by(deposit: Document) -> Document | None:
    """The standing invoice of what the deposit was asked for: money is entered there now."""
    asked = DocumentLine.objects.filter(document=deposit.follows_id, entry__isnull=False)
    return standing_invoices().filter(lines__entry__in=asked.values("entry")).first()


def prepaid_for(invoice: Document, *, lock: bool = False) -> list[tuple[Document, int]]:
    """The deposits that an invoice takes into account, each with its minor units.

    A deposit is taken whole by the last invoice of what it was asked for, also where that
    costs less; before that, only as much as the invoice comes to.
    """
    entries, left, found = entries_of(invoice), invoice.total_minor, []
    ids = list(deposits_for(entries).values_list("pk", flat=True))
    deposits = Document.objects.filter(pk__in=ids).select_related("follows").order_by("pk")
    if lock:
        deposits = deposits.select_for_update(of=("self",), no_key=True)
    for deposit in deposits:
        standing = held(deposit)
        if standing <= 0 or deposit.follows is None:
            continue
        to_come = entries_of(deposit.follows) - entries
        billed = standing_invoices().filter(lines__entry__in=to_come).values("lines__entry")
        to_come -= {row["lines__entry"] for row in billed}
        part = min(standing, max(left, 0)) if to_come else standing
        if part:
            found.append((deposit, part))
            left -= part
    return found


def line_left(line: DocumentLine) -> tuple[int, int]:
    """(quoted, net) minor units of a line that no issued credit note has taken back."""
    credited = line.credited_by.filter(document__number__isnull=False).aggregate(
        quoted=Sum("quoted_minor"), net=Sum("net_minor")
    )
    return line.quoted_minor - (credited["quoted"] or 0), line.net_minor - (credited["net"] or 0)


def settled_on(prepayment: Document, *, drafts: bool) -> Document | None:
    """The document that takes a prepayment invoice off again, and is not credited itself."""
    lines = DocumentLine.objects.filter(settles=prepayment).select_related("document")
    for line in lines if drafts else lines.filter(document__number__isnull=False):
        if line.document.is_draft or line_left(line)[0]:
            return line.document
    return None


def prepayments_open(
    customer: Customer, entry_ids: Collection[int], *, drafts: bool
) -> list[Document]:
    """Prepayment invoices to this person for these entries that no document takes off yet."""
    found = Document.objects.filter(
        kind=DocumentKind.PREPAYMENT_INVOICE,
        number__isnull=False,
        customer__in=same_person(customer),
        follows__in=deposits_for(entry_ids),
    )
    return [
        one
        for one in found.order_by("pk")
        if any(line_left(line)[0] for line in one.lines.all())
        and settled_on(one, drafts=drafts) is None
    ]
