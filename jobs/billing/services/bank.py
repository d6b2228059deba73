"""A bank's file taken in, and its sums placed: against documents, on account, or set aside.

Placing enters payments by the same door as by hand, so the ledger knows no other way. A sum
whose payment is struck through waits again.
"""

import datetime
import uuid
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from jobs.people.enums import TrailEvent
from jobs.people.models import Business, Customer, User
from jobs.people.trail import trail_note

from ..bank_files.rows import BankFileFault, BankRow, BankStatement, fingerprints
from ..enums import PaymentMethod
from ..models import BankFile, BankLine, Document, Payment
from ..money import Money
from ..selectors.bank_matches import Candidate, waiting_matched
from ..selectors.payments import OWED, document_open
from ..selectors.prices import terms_get
from .payments import credit_use, payment_add, payment_on_account

OLDEST_YEAR, LATEST_YEAR = 1990, 2199  # of a booking: years beyond are misread or made up
MOST_MINOR = 10**15  # a sum that no business like this has; the column holds ten thousand of it


@dataclass(frozen=True)
class BankFileTaken:
    """``known``: sums that an earlier file brought. ``file`` is None where none was new."""

    file: BankFile | None
    new: int
    known: int


class _Sum(NamedTuple):
    fingerprint: str
    row: BankRow
    minor: int


@transaction.atomic
def bank_file_take(*, statement: BankStatement, name: str, by: User) -> BankFileTaken:
    """Keep every sum of a file that no earlier file brought: all of them, or BankFileFault.

    The row of the business is locked, so that the same file sent twice at once comes in once.
    """
    business = Business.objects.select_for_update(no_key=True).get(pk=1)
    sums = list(_sums(statement.rows, business.currency))
    if not sums:
        return BankFileTaken(None, 0, 0)
    days = [one.row.booked_on for one in sums]
    there = BankLine.objects.filter(booked_on__range=(min(days), max(days)))
    known = set(there.values_list("fingerprint", flat=True))
    new = [one for one in sums if one.fingerprint not in known]
    if not new:
        return BankFileTaken(None, 0, len(sums))
    file = BankFile.objects.create(name=name[:100], kind=statement.kind, by=by)
    BankLine.objects.bulk_create(_line(file, one, business.currency) for one in new)
    trail_note(TrailEvent.BANK_FILE_TAKEN, by=by, ref=file.pk)
    return BankFileTaken(file, len(new), len(sums) - len(new))


def _sums(rows: Iterable[BankRow], currency: str) -> Iterator[_Sum]:
    for fingerprint, row in fingerprints(row.cut() for row in rows):
        if row.currency != currency:
            raise BankFileFault(
                _("%(row)s is in %(currency)s, and this business keeps its books in %(own)s.")
                % {"row": _said(row), "currency": row.currency or "?", "own": currency}
            )
        if not OLDEST_YEAR <= row.booked_on.year <= LATEST_YEAR:
            raise BankFileFault(_("%(row)s has no day that can be right.") % {"row": _said(row)})
        try:
            minor = Money.of(row.amount, currency).minor
        except ValueError as error:
            raise BankFileFault(f"{_said(row)}: {error}") from error
        if abs(minor) > MOST_MINOR:
            raise BankFileFault(_("%(row)s is no sum of money.") % {"row": _said(row)})
        if minor:
            yield _Sum(fingerprint, row, minor)


def _said(row: BankRow) -> str:
    return f"{row.booked_on} {row.payer_name} {row.amount}"


def _line(file: BankFile, one: _Sum, currency: str) -> BankLine:
    row = one.row
    return BankLine(
        file=file,
        fingerprint=one.fingerprint,
        account=row.account[:40],
        booked_on=row.booked_on,
        amount_minor=one.minor,
        currency=currency,
        payer_name=row.payer_name,
        payer_account=row.payer_account,
        text=row.text,
        reference=row.reference,
        bank_ref=row.bank_ref,
        is_reversal=row.is_reversal,
    )


@dataclass
class SurePlaced:
    placed: list[Payment] = field(default_factory=list)
    left: list[str] = field(default_factory=list)  # why not, in words


def bank_sure_place(*, shown: Mapping[int, str], by: User) -> SurePlaced:
    """Place the sums of which a person saw that they are sure, by line the candidate's key.

    Only where they still are: what was paid, placed or credited meanwhile is left for a person.
    """
    result = SurePlaced()
    for matched in waiting_matched():
        sure, key = matched.sure, shown.get(matched.line.pk)
        if key is None:
            continue
        try:
            if sure is None or sure.key != key:
                raise ValidationError(_("it is no longer sure"))
            result.placed.append(
                bank_candidate_place(line=matched.line, candidate=sure, by=by, exactly=True)
            )
        except ValidationError as error:
            result.left.append(f"{matched.line.payer_name}: {' '.join(error.messages)}")
    return result


@transaction.atomic
def bank_candidate_place(
    *, line: BankLine, candidate: Candidate, by: User, exactly: bool = False
) -> Payment:
    """``exactly``: only where the sum is what is open, asked again under the lock."""
    line = _waiting(line)
    if candidate.payment is not None:
        return _link(line, _by_hand(candidate.payment, line))
    documents = _locked(candidate.documents)
    together = sum(document_open(one) for one in documents)
    if (exactly or len(documents) > 1) and together != line.amount_minor:
        raise ValidationError(_("something else is open by now"))
    if len(documents) == 1:
        return bank_line_place(line=line, by=by, document=documents[0])
    payment = bank_line_place(line=line, by=by, customer=documents[0].customer)
    for document in documents:
        credit_use(document=document, by=by)
    return payment


def _locked(documents: Sequence[Document]) -> list[Document]:
    ids = [one.pk for one in documents]
    rows = Document.objects.filter(pk__in=ids).select_related("customer").order_by("pk")
    found = list(rows.select_for_update(of=("self",), no_key=True))
    if len(found) > 1 and any(one.kind not in OWED for one in found):
        raise ValidationError(_("A deposit is paid by itself: choose one document."))
    return found


@transaction.atomic
def bank_line_place(
    *, line: BankLine, by: User, document: Document | None = None, customer: Customer | None = None
) -> Payment:
    """Against one document, or on the account of a customer, dated as the bank booked it.

    A sum of a month that is closed by now is dated on the first day that is open.
    """
    line = _waiting(line)
    payment_id, minor, day = uuid.uuid4(), line.amount_minor, _open_day(line.booked_on)
    if document is not None:
        payment = payment_add(
            payment_id=payment_id, document=document, amount_minor=minor, by=by, received_on=day
        )
    elif customer is not None:
        payment = payment_on_account(
            payment_id=payment_id,
            customer=customer,
            amount_minor=minor,
            method=PaymentMethod.TRANSFER,
            by=by,
            received_on=day,
        )
    else:
        raise TypeError("a sum is placed against a document or on an account")
    return _link(line, payment)


def _open_day(day: datetime.date) -> datetime.date:
    closed = terms_get().closed_through
    return day if closed is None else max(day, closed + datetime.timedelta(days=1))


def _waiting(line: BankLine) -> BankLine:
    """The line, locked. It takes no payment while it has one or is set aside."""
    line = BankLine.objects.select_for_update(of=("self",), no_key=True).get(pk=line.pk)
    if line.amount_minor <= 0:
        raise ValidationError(_("Money that went out is not placed."))
    if line.aside_at is not None:
        raise ValidationError(_("This sum is set aside: bring it back first."))
    if line.payment is not None and line.payment.withdrawn_at is None:
        raise ValidationError(_("This sum is placed already."))
    return line


def _by_hand(payment: Payment, line: BankLine) -> Payment:
    payment = Payment.objects.select_for_update(of=("self",), no_key=True).get(pk=payment.pk)
    taken = BankLine.objects.filter(payment=payment).exists()
    if taken or payment.withdrawn_at is not None or payment.amount_minor != line.amount_minor:
        raise ValidationError(_("That payment is not this sum any more."))
    return payment


def _link(line: BankLine, payment: Payment) -> Payment:
    line.payment = payment
    line.save(update_fields=["payment"])
    return payment


@transaction.atomic
def bank_line_set_aside(*, line: BankLine, why: str, by: User) -> BankLine:
    """It is nobody's payment: said with a word, and seen under what is set aside."""
    line = _waiting(line)
    if not why.strip():
        raise ValidationError(_("Say in a word what it is: it stays in the book with it."))
    line.payment, line.aside_why = None, why.strip()[:200]
    line.aside_at, line.aside_by = timezone.now(), by
    line.save(update_fields=["payment", "aside_why", "aside_at", "aside_by"])
    trail_note(TrailEvent.BANK_SUM_ASIDE, by=by, ref=line.pk)
    return line


@transaction.atomic
def bank_line_bring_back(*, line: BankLine, by: User) -> BankLine:
    line = BankLine.objects.select_for_update(of=("self",), no_key=True).get(pk=line.pk)
    if line.aside_at is not None:
        line.aside_why, line.aside_at, line.aside_by = "", None, None
        line.save(update_fields=["aside_why", "aside_at", "aside_by"])
        trail_note(TrailEvent.BANK_SUM_BACK, by=by, ref=line.pk)
    return line
