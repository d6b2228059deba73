"""A trackday's money: who owes what for which bike, and who may be billed."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from jobs.people.models import Customer
from jobs.trackday.models import Entry, Trackday
from jobs.worklist.book_facts import WANTED
from jobs.worklist.enums import Cadence, Mark
from jobs.worklist.models import ChecklistItem, TaskMark
from jobs.worklist.selectors import day_read, items_of_day

from ..enums import DocumentKind
from ..models import Document
from ..money import to_minor
from .due_charges import DueCharge, due_charges
from .obstacles import Obstacle, obstacles
from .payments import with_open
from .prices import TaxTable, terms_get
from .travel import by_payer


def day_entries(trackday: Trackday) -> list[Entry]:
    """Entries with all that charges and invoices need, by payer."""
    return list(
        Entry.objects.filter(trackday=trackday)
        .select_related("package", "bike", "rider", "payer", "group", "trackday__venue")
        .order_by("payer__name", "payer", "group__order", "number", "pk")
    )


def handed_over(entries: Sequence[Entry]) -> set[int]:
    """Entries of one day whose last tasks are all done or skipped with a reason; absent bikes
    and bikes whose package asks for none count too. What the setup book holds does a task as a
    tick does: a clicker count that was entered on the bike sheet."""
    if not entries:
        return set()
    ids = [entry.pk for entry in entries]
    marks = TaskMark.objects.filter(
        entry__in=ids,
        item__cadence=Cadence.LAST,
        mark__in=(Mark.DONE, Mark.SKIPPED),
        withdrawn_at__isnull=True,
    )
    marked = set(marks.values_list("entry", "item"))
    asked = list(items_of_day(entries[0].trackday).filter(cadence=Cadence.LAST))
    missing = {
        entry.pk: {
            item for item in asked if _asks(item, entry) and (entry.pk, item.pk) not in marked
        }
        for entry in entries
        if not entry.absence
    }
    if any(item.kind in WANTED for items in missing.values() for item in items):
        for entry_id, item in _done_by_the_book(entries[0].trackday):
            missing.get(entry_id, set()).discard(item)
    return {entry.pk for entry in entries if not missing.get(entry.pk)}


def _done_by_the_book(trackday: Trackday) -> Iterator[tuple[int, ChecklistItem]]:
    """The last tasks of every entry that nobody ticked and that the setup book shows as done."""
    for bike in day_read(trackday).bikes:
        for task in bike.tasks:
            if task.item.cadence == Cadence.LAST and task.done_by_book:
                yield bike.entry.pk, task.item


def _asks(item: ChecklistItem, entry: Entry) -> bool:
    """Whether an item is for the entry's package; a list without packages is for all."""
    packages = {package.pk for package in item.checklist.packages.all()}
    of_package = not packages or entry.package_id in packages
    return of_package and (item.for_advice or not entry.package.advice_only)


@dataclass(frozen=True)
class EntryMoney:
    """One bike's charges of the day. Sums in the price list's own mode, minor units."""

    entry: Entry
    due_charges: list[DueCharge]
    open_minor: int
    obstacles: list[Obstacle]


@dataclass(frozen=True)
class PayerMoney:
    customer: Customer
    bikes: list[EntryMoney]
    documents: list[Any]
    balance_minor: int

    @property
    def open_minor(self) -> int:
        """Not on any document yet."""
        return sum(bike.open_minor for bike in self.bikes)

    @property
    def why_not(self) -> list[str]:
        """What stops an invoice of these bikes, each thing once."""
        found = [one.words for bike in self.bikes for one in bike.obstacles]
        return list(dict.fromkeys(found))

    @property
    def is_ready(self) -> bool:
        return bool(self.open_minor) and not self.why_not

    @property
    def is_invoiced(self) -> bool:
        return any(one.kind == DocumentKind.INVOICE and one.number for one in self.documents)


def day_obstacles(
    entries: Sequence[Entry], charges: Mapping[int, Sequence[DueCharge]]
) -> dict[int, list[Obstacle]]:
    """By entry of one day, why it cannot be invoiced yet."""
    done = handed_over(entries)
    table = TaxTable(terms_get().scheme)
    return {
        entry.pk: obstacles(entry, charges[entry.pk], is_handed_over=entry.pk in done, table=table)
        for entry in entries
    }


def day_money(trackday: Trackday, *, places: int) -> list[PayerMoney]:
    """Every payer of a day with bikes, charges and documents. The same queries at any size."""
    entries = day_entries(trackday)
    charges = due_charges(entries)
    why_not = day_obstacles(entries, charges)
    documents: dict[int, list[Any]] = defaultdict(list)
    asked = Document.objects.filter(trackday=trackday, corrects__isnull=True)
    for document in with_open(asked).select_related("acceptance").order_by("pk"):
        documents[document.customer_id].append(document)
    return [
        PayerMoney(
            customer=group[0].payer,
            bikes=[
                EntryMoney(
                    entry,
                    charges[entry.pk],
                    open_sum(charges[entry.pk], places),
                    why_not[entry.pk],
                )
                for entry in group
            ],
            documents=documents[group[0].payer_id],
            balance_minor=sum(
                d.open
                for d in documents[group[0].payer_id]
                if d.number and d.kind == DocumentKind.INVOICE
            ),
        )
        for group in by_payer(entries).values()
    ]


def open_sum(charges: Sequence[DueCharge], places: int) -> int:
    """What is still to be put on an invoice; percentages come off the entry's other charges."""
    open_dues = [due for due in charges if due.is_open]
    total = sum(due.amount_minor(places) for due in open_dues)
    sold = sum(due.amount_minor(places) for due in open_dues if not due.is_discount)
    for due in open_dues:
        if due.is_discount and due.percent is not None:
            total -= to_minor(sold * due.percent / 100, 0)
    return total
