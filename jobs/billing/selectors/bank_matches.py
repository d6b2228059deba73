"""What a sum from the bank may pay: what is sure, and what a person has to choose from.

Sure is only what names one document by its ISO 11649 reference, or by its number and the
customer's name, and is exactly what is open on it; or what names several so and is their sum;
or what somebody entered by hand already. Each document is paid by one sum only: a second one
is a question. All of it is derived; nothing is stored.
"""

import datetime
import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from stdnum import iso11649

from jobs.people.models import Customer

from ..enums import PaymentKind, PaymentMethod
from ..models import BankLine, Document, Payment
from ..names_alike import name_words, names_alike
from .payments import BALANCED, OWED, with_open

# What speaks for a candidate, the strongest first; their words are the page's.
REFERENCE, NUMBER, NAME, ACCOUNT, AMOUNT = "reference", "number", "name", "account", "amount"
WEIGHT = {REFERENCE: 16, NUMBER: 8, NAME: 4, ACCOUNT: 4, AMOUNT: 3}
WORDS = {
    REFERENCE: _("the reference"),
    NUMBER: _("the number in the text"),
    NAME: _("the name"),
    ACCOUNT: _("paid from this account before"),
    AMOUNT: _("the sum"),
}
MOST_SHOWN = 4
BY_HAND_WITHIN = datetime.timedelta(days=14)  # a transfer entered by hand, before or after
REFERENCES = re.compile(r"(?=(RF\d{2}[A-Z0-9]{1,21}))")


@dataclass(frozen=True)
class Candidate:
    """Where a sum may stand: documents of one customer, or a payment entered by hand."""

    documents: tuple[Any, ...] = ()  # with ``open``
    payment: Payment | None = None
    reasons: frozenset[str] = frozenset()
    open_minor: int = 0

    @property
    def key(self) -> str:
        """What a form names it by."""
        if self.payment is not None:
            return f"payment:{self.payment.pk}"
        return "document:" + ",".join(str(one.pk) for one in self.documents)

    @property
    def customer(self) -> Customer:
        customer: Customer = (self.payment or self.documents[0]).customer
        return customer

    @property
    def weight(self) -> int:
        return sum(WEIGHT[reason] for reason in self.reasons)

    @property
    def why(self) -> list[Promise]:
        """What speaks for it, in words."""
        return [words for reason, words in WORDS.items() if reason in self.reasons]

    @property
    def is_exact(self) -> bool:
        return AMOUNT in self.reasons

    @property
    def names_it(self) -> bool:
        """Whether the payer said which it is, and that cannot be by chance."""
        by_number = {NUMBER, NAME} <= self.reasons or {NUMBER, ACCOUNT} <= self.reasons
        return self.is_exact and (REFERENCE in self.reasons or by_number)


@dataclass
class MatchedLine:
    """A sum that waits. ``sure``: the one candidate that needs no person to choose it."""

    line: BankLine
    sure: Candidate | None = None
    candidates: list[Candidate] = field(default_factory=list)
    twin: BankLine | None = None  # perhaps the same sum, from a file of another kind
    taken: list[Document] = field(default_factory=list)  # named, and paid by an earlier sum


def waiting_lines() -> QuerySet[BankLine]:
    """Sums that came in, and are neither placed nor set aside."""
    free = Q(payment__isnull=True) | Q(payment__withdrawn_at__isnull=False)
    return BankLine.objects.filter(free, amount_minor__gt=0, aside_at__isnull=True)


def waiting_matched() -> list[MatchedLine]:
    """Every waiting sum with its candidates. The same queries whatever their number."""
    lines = list(waiting_lines().select_related("file").order_by("booked_on", "pk"))
    if not lines:
        return []
    found = _Known(
        documents=_documents(lines),
        payments=_by_hand(lines),
        payers=_payers(lines),
        twins=_twins(lines),
    )
    return _matched(lines, found)


@dataclass
class _Known:
    documents: list[Any]
    payments: list[Payment]
    payers: dict[str, set[int]]  # by account: the customers it has paid for
    twins: dict[int, BankLine]


def _documents(lines: Sequence[BankLine]) -> list[Any]:
    """What is open, and what a line names by its reference though it is not."""
    named = {one for line in lines for one in references_in(line)}
    rows = with_open(Document.objects.filter(kind__in=BALANCED, number__isnull=False))
    rows = rows.filter(Q(open__gt=0) | Q(reference__in=named))
    return list(rows.select_related("customer").order_by("due_on", "pk"))


def references_in(line: BankLine) -> set[str]:
    """Every creditor reference in a line whose check digits are right.

    Where one ends is not known: the word after it may be pressed against it.
    """
    found: set[str] = set()
    for text in (line.reference, line.text):
        for match in REFERENCES.finditer(_pressed(text)):
            longer = (match[1][:end] for end in range(5, len(match[1]) + 1))
            found |= {one for one in longer if iso11649.is_valid(one)}
    return found


def _pressed(text: str) -> str:
    return re.sub(r"[^0-9A-Z]", "", text.upper())


def _by_hand(lines: Sequence[BankLine]) -> list[Payment]:
    """Transfers that stand, are entered about these days and are no sum of the bank's yet."""
    days = [line.booked_on for line in lines]
    return list(
        Payment.objects.filter(
            kind=PaymentKind.PAYMENT,
            method=PaymentMethod.TRANSFER,
            withdrawn_at__isnull=True,
            bank_line__isnull=True,
            amount_minor__in={line.amount_minor for line in lines},
            received_on__range=(min(days) - BY_HAND_WITHIN, max(days) + BY_HAND_WITHIN),
        )
        .select_related("customer", "document")
        .order_by("received_on", "at")
    )


def _payers(lines: Sequence[BankLine]) -> dict[str, set[int]]:
    accounts = {line.payer_account for line in lines if line.payer_account}
    rows = BankLine.objects.filter(
        payer_account__in=accounts, amount_minor__gt=0, payment__withdrawn_at__isnull=True
    ).exclude(payment=None)
    found: dict[str, set[int]] = defaultdict(set)
    for account, customer in rows.values_list("payer_account", "payment__customer"):
        found[account].add(customer)
    return found


def _twins(lines: Sequence[BankLine]) -> dict[int, BankLine]:
    """Of each line one of the same day and sum that came in a file of another kind."""
    other = BankLine.objects.filter(
        booked_on=OuterRef("booked_on"), amount_minor=OuterRef("amount_minor")
    ).exclude(file__kind=OuterRef("file__kind"))
    days = {line.booked_on for line in lines}
    rows = BankLine.objects.filter(Exists(other), booked_on__in=days, amount_minor__gt=0)
    alike: dict[tuple[datetime.date, int], list[BankLine]] = defaultdict(list)
    for row in rows.select_related("file").order_by("pk"):
        alike[row.booked_on, row.amount_minor].append(row)
    found = {}
    for line in lines:
        same = alike[line.booked_on, line.amount_minor]
        # The one that came first is the sum; it is the later one that may be the same again.
        earlier = [one for one in same if one.pk < line.pk and one.file.kind != line.file.kind]
        if earlier:
            found[line.pk] = earlier[0]
    return found


def _matched(lines: Sequence[BankLine], known: _Known) -> list[MatchedLine]:
    used: set[str] = set()  # documents and payments that an earlier sum is sure to be
    names = {pk: name_words(name) for pk, name in _names(known)}
    numbers = {one.pk: _number_pattern(one.label) for one in known.documents}
    found = []
    for line in lines:
        matched = MatchedLine(line, twin=known.twins.get(line.pk))
        reads = _LineWords(line, names, known.payers.get(line.payer_account, set()))
        every = _candidates(reads, known, numbers)
        free = [one for one in every if not _things(one) & used]
        matched.taken = [d for one in every if _things(one) & used for d in one.documents]
        sure = _only_sure(free)
        if sure and not line.is_reversal and matched.twin is None:
            matched.sure = sure
            used |= _things(sure)
        matched.candidates = sorted(free, key=lambda one: -one.weight)[:MOST_SHOWN]
        found.append(matched)
    return found


def _names(known: _Known) -> Iterable[tuple[int, str]]:
    for one in (*known.documents, *known.payments):
        yield one.customer_id, one.customer.name


def _things(candidate: Candidate) -> set[str]:
    if candidate.payment is not None:
        return {f"payment {candidate.payment.pk}"}
    return {f"document {one.pk}" for one in candidate.documents}


def _only_sure(candidates: Sequence[Candidate]) -> Candidate | None:
    """One that names itself; of several, only where one is by reference and the rest are not."""
    named = [one for one in candidates if one.names_it]
    by_reference = [one for one in named if REFERENCE in one.reasons]
    best = by_reference or named
    return best[0] if len(best) == 1 else None


class _LineWords:
    """One line, and what its words say about a document or a customer."""

    def __init__(self, line: BankLine, names: dict[int, frozenset[str]], payers: set[int]) -> None:
        self.line, self.names, self.payers = line, names, payers
        self.payer = name_words(line.payer_name)
        self.text = f"{line.reference} {line.text}".upper()
        self.references = references_in(line)

    def about(self, customer: int) -> set[str]:
        alike = {NAME} if names_alike(self.names[customer], self.payer) else set()
        return alike | ({ACCOUNT} if customer in self.payers else set())

    def naming(self, document: Any, number: re.Pattern[str]) -> set[str]:
        by_reference = {REFERENCE} if document.reference in self.references else set()
        return by_reference | ({NUMBER} if number.search(self.text) else set())


def _number_pattern(label: str) -> re.Pattern[str]:
    """A document's number as people copy it: INV-00012, INV 00012, inv00012."""
    parts = [re.escape(part) for part in re.findall(r"[A-Z]+|\d+", label.upper())]
    return re.compile(r"(?<![A-Z0-9])" + r"[\W_]*".join(parts) + r"(?!\d)")


def _candidates(
    reads: _LineWords, known: _Known, numbers: dict[int, re.Pattern[str]]
) -> list[Candidate]:
    minor, found = reads.line.amount_minor, []
    of_customer: dict[int, list[Any]] = defaultdict(list)
    named: dict[int, set[str]] = {}
    for document in known.documents:
        named[document.pk] = naming = reads.naming(document, numbers[document.pk])
        exact = {AMOUNT} if document.open == minor else set()
        reasons = naming | reads.about(document.customer_id) | exact
        if document.open > 0 and document.kind in OWED:
            of_customer[document.customer_id].append(document)
        if reasons and (document.open > 0 or naming):
            found.append(Candidate((document,), None, frozenset(reasons), document.open))
    for customer, documents in of_customer.items():
        found += _together(documents, named, reads.about(customer), minor)
    return found + _entered(reads, known)


def _together(
    documents: list[Any], named: dict[int, set[str]], about: set[str], minor: int
) -> list[Candidate]:
    """One transfer for several: those it names, or all of a customer it is from."""
    by_name = [one for one in documents if named[one.pk]]
    common = set.intersection(*(named[one.pk] for one in by_name)) if by_name else set()
    found = []
    for group, why in ((by_name, common), (documents, set())):
        together = sum(one.open for one in group)
        if len(group) > 1 and together == minor and (why or about):
            reasons = frozenset(why | about | {AMOUNT})
            found.append(Candidate(tuple(group), None, reasons, together))
            break
    return found


def _entered(reads: _LineWords, known: _Known) -> list[Candidate]:
    """Payments of this sum that somebody entered by hand about that day."""
    found = []
    for payment in known.payments:
        near = abs(payment.received_on - reads.line.booked_on) <= BY_HAND_WITHIN
        if payment.amount_minor != reads.line.amount_minor or not near:
            continue
        document = payment.document
        naming = set()
        if document is not None and document.reference in reads.references:
            naming.add(REFERENCE)
        reasons = naming | reads.about(payment.customer_id) | {AMOUNT}
        found.append(Candidate((), payment, frozenset(reasons), payment.amount_minor))
    return found
