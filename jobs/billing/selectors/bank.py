"""What the page of the bank shows: what waits, by how sure it is, and what is done."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import Q, QuerySet, Sum

from jobs.people.models import Customer

from ..models import BankFile, BankLine
from ..names_alike import name_words
from .bank_matches import MatchedLine, waiting_lines, waiting_matched

ON_A_PAGE = 100  # of each list; what waits longest comes first, what is done lately


@dataclass(frozen=True)
class BankPage:
    sure: list[MatchedLine]
    unsure: Page[MatchedLine]  # first those with candidates, then what nothing speaks for
    out: Page[BankLine]
    placed: Page[BankLine]
    aside: Page[BankLine]
    files: Page[BankFile]

    @property
    def sure_minor(self) -> int:
        return sum(one.line.amount_minor for one in self.sure)


def bank_page(pages: Mapping[str, str] | None = None) -> BankPage:
    """The same queries whatever the number of sums. ``pages``: which page, by name of a list."""
    asked = pages or {}

    def paged(name: str, rows: Sequence[Any] | QuerySet[Any]) -> Page[Any]:
        return Paginator(rows, ON_A_PAGE).get_page(asked.get(name))

    waiting = waiting_matched()
    rest = [one for one in waiting if one.sure is None]
    rows = BankLine.objects.order_by("-booked_on", "-pk")
    placed = rows.filter(payment__withdrawn_at__isnull=True).exclude(payment=None)
    placed = placed.select_related("payment__document", "payment__customer")
    aside = rows.filter(aside_at__isnull=False).select_related("aside_by")
    return BankPage(
        sure=[one for one in waiting if one.sure is not None],
        unsure=paged("unsure", sorted(rest, key=lambda one: not one.candidates)),
        out=paged("out", rows.filter(amount_minor__lt=0)),
        placed=paged("placed", placed),
        aside=paged("aside", aside),
        files=paged("files", BankFile.objects.select_related("by").order_by("-at", "-pk")),
    )


def bank_waits() -> int:
    """Minor units that came in and wait to be placed."""
    return waiting_lines().aggregate(total=Sum("amount_minor"))["total"] or 0


def bank_lines_about(customers: Collection[int]) -> QuerySet[BankLine]:
    """Lines that tell of these people: placed for them, from their accounts, or in their name."""
    theirs = BankLine.objects.filter(payment__customer__in=customers)
    accounts = set(theirs.exclude(payer_account="").values_list("payer_account", flat=True))
    people = Customer.objects.filter(pk__in=customers).values_list("name", flat=True)
    names = {words for name in people if (words := name_words(name))}
    others = BankLine.objects.filter(payment=None).values_list("pk", "payer_name", "text")
    in_name = [pk for pk, payer, text in others if _tells_of(names, payer, text)]
    return BankLine.objects.filter(
        Q(payment__customer__in=customers) | Q(payer_account__in=accounts) | Q(pk__in=in_name)
    )


def _tells_of(names: set[frozenset[str]], payer: str, text: str) -> bool:
    """One of these is the payer's name, or stands whole in what was written."""
    if name_words(payer) in names:
        return True
    said = name_words(f"{payer} {text}")
    return any(len(words) > 1 and words <= said for words in names)
