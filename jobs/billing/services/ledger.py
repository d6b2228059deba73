"""Writing the ledger: what is entered, what moves, what is undone. No row is ever changed."""

import datetime

from django.db.models import QuerySet, Sum

from jobs.people.dates import business_today
from jobs.people.models import Customer, User
from jobs.people.selectors import same_person

from ..enums import AllocationReason, DocumentKind
from ..models import Allocation, Document, Payment
from ..selectors.ledger import STANDS, SourceSum, sources


def payment_allocate(payment: Payment) -> Allocation:
    """A payment, refund or write-off stands where it was entered."""
    return Allocation.objects.create(
        customer=payment.customer,
        payment=payment,
        document=payment.document,
        reason=AllocationReason.ENTERED,
        amount_minor=payment.signed_minor,
        day=payment.received_on,
        by=payment.by,
    )


def credit_note_allocate(note: Document) -> None:
    """An issued credit note stands against the invoice it corrects."""
    if note.total_minor:
        Allocation.objects.create(
            customer=note.customer,
            credit_note=note,
            document=note.corrects,
            reason=AllocationReason.ENTERED,
            amount_minor=note.total_minor,
            day=note.issued_on or business_today(),
            by=note.issued_by,
        )


def money_move(
    *,
    amount_minor: int,
    off: Document | None,
    onto: Document | None,
    reason: AllocationReason,
    by: User | None,
    account_of: Customer | None = None,
    day: datetime.date | None = None,
) -> None:
    """Move money between two documents, or a document and the account (None).

    An invoice that takes a taxed prepayment off may owe money it never received itself: that
    money stands at the prepayment invoice, and the rows name the payment there.
    """
    left = amount_minor
    for source in _movable(off, account_of):
        part = min(source.minor, left)
        if part > 0:
            _pair(source, part, off, onto, reason, by, day or business_today())
            left -= part
    if left:
        raise AssertionError(f"{left} of {amount_minor} is not there to be moved")


def _movable(off: Document | None, account_of: Customer | None) -> list[SourceSum]:
    if off is None:
        assert account_of is not None
        people = same_person(account_of)
        found = sources(Allocation.objects.filter(document__isnull=True, customer__in=people))
        return sorted(found, key=lambda one: one.customer_id != account_of.pk)  # their own first
    settled = off.lines.filter(settles__isnull=False).values("settles")
    return [
        *sources(Allocation.objects.filter(document=off)),
        *sources(Allocation.objects.filter(document__in=settled)),
    ]


def _pair(
    source: SourceSum,
    minor: int,
    off: Document | None,
    onto: Document | None,
    reason: AllocationReason,
    by: User | None,
    day: datetime.date,
) -> None:
    def row(document: Document | None, signed: int, pair: Allocation | None) -> Allocation:
        return Allocation.objects.create(
            customer_id=source.customer_id,
            payment_id=source.payment_id,
            credit_note_id=source.credit_note_id,
            document=document,
            reason=reason,
            amount_minor=signed,
            day=day,
            pair=pair,
            by=by,
        )

    row(onto, minor, row(off, -minor, None))


def deposits_return(document: Document, *, too_much: int, by: User | None) -> None:
    """A document is credited in full: deposits it took into account stand where they stood.

    No more returns than the document has too much of: part may be given back already.
    """
    for deposit, minor in _taken_from(document):
        part = min(minor, too_much)
        if part > 0:
            money_move(
                amount_minor=part,
                off=document,
                onto=deposit,
                reason=AllocationReason.TAKEN,
                by=by,
            )
            too_much -= part


def _taken_from(document: Document) -> list[tuple[Document, int]]:
    """The deposits that a document took money from, and how much of it is still there."""
    taken = {AllocationReason.TAKEN}
    into = Allocation.objects.filter(STANDS, document=document, reason__in=taken)
    came = into.filter(pair__isnull=False, amount_minor__gt=0, pair__amount_minor__lt=0)
    went = into.filter(pair__isnull=True, amount_minor__lt=0)
    return [
        (
            deposit,
            _sum_of(came, "pair__document", deposit) + _sum_of(went, "paired__document", deposit),
        )
        for deposit in Document.objects.filter(
            kind=DocumentKind.DEPOSIT_REQUEST, pk__in=came.values("pair__document")
        ).order_by("pk")
    ]


def _sum_of(rows: QuerySet[Allocation], path: str, document: Document) -> int:
    return rows.filter(**{path: document}).aggregate(s=Sum("amount_minor"))["s"] or 0


def payment_undo(payment: Payment, *, by: User) -> None:
    """Every row of a payment that still stands is reversed by a further row."""
    for row in list(payment.allocations.filter(STANDS).order_by("pk")):
        Allocation.objects.create(
            customer_id=row.customer_id,
            payment=payment,
            document_id=row.document_id,
            reason=AllocationReason.STRUCK,
            amount_minor=-row.amount_minor,
            day=business_today(),
            reverses=row,
            by=by,
        )
