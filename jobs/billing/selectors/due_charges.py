"""What each entry is to be charged for. Derived from the work, so nothing is typed twice.

Package, extra sessions, parts and labour of fittings and travel arise by themselves; rows of
``Charge`` add to them or stand in for one of the same key. The same few queries for one
entry and for sixty.
"""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from django.utils.translation import gettext as _

from jobs.garage.models import Fitting
from jobs.people.selectors import business_get
from jobs.setups.enums import RowKind, RowState
from jobs.setups.models import Adjustment
from jobs.trackday import clock
from jobs.trackday.models import Entry
from jobs.worklist.enums import Cadence, Mark
from jobs.worklist.models import TaskMark

from ..enums import DocumentKind, PriceKind, PriceUnit
from ..models import Charge, DocumentLine, PriceItem
from ..money import exponent, to_major, to_minor
from . import billed, travel
from .prices import item_of_kind, price_list, terms_get

ABSENCE = "absence"
PACKAGE = "package"


@dataclass(frozen=True)
class Quoted:
    """The price of an accepted quote, with or without tax as that quote had it."""

    price: Decimal
    is_tax_included: bool
    taxes: list[dict[str, str]]


@dataclass(frozen=True)
class DueCharge:
    """One thing to charge. ``price`` None: it has no price yet and stops an invoice."""

    entry: Entry
    key: str
    kind: str
    description: str
    quantity: Decimal
    unit: str
    price: Decimal | None
    tax_code: str
    percent: Decimal | None = None
    item_code: str = ""
    charge: Charge | None = None
    waived_why: str = ""
    document_id: int | None = None
    quoted: Quoted | None = None

    @property
    def is_discount(self) -> bool:
        return self.kind == PriceKind.DISCOUNT

    @property
    def is_open(self) -> bool:
        """Still to be put on a document."""
        return self.document_id is None and not self.waived_why

    @property
    def is_unpriced(self) -> bool:
        return self.price is None and self.percent is None

    def amount_minor(self, places: int) -> int:
        """In the price list's own mode, net or tax-included; a percentage counts nothing."""
        if self.price is None:
            return 0
        amount = to_minor(self.quantity * self.price, places)
        return -amount if self.is_discount else amount


def due_charges(entries: Sequence[Entry]) -> dict[int, list[DueCharge]]:
    """By entry, in the order they are printed. Entries come with package, bike, payer, venue."""
    if not entries:
        return {}
    items = price_list()
    derived = {entry.pk: [_package(entry, items)] for entry in entries}
    for more in (_extra_sessions(entries, items), _fittings(entries, items)):
        for due in more:
            derived[due.entry.pk].append(due)
    for due in _travel(entries):
        derived[due.entry.pk].append(due)
    quoted = _accepted_prices(entries)
    made = _charges(entries)
    taken = billed.by_charge([entry.pk for entry in entries])
    return {
        entry.pk: [
            replace(due, document_id=taken.get((entry.pk, due.key)))
            for due in _merged(derived[entry.pk], made[entry.pk], quoted)
        ]
        for entry in entries
    }


def _package(entry: Entry, items: Sequence[PriceItem]) -> DueCharge:
    item = next((item for item in items if item.package_id == entry.package_id), None)
    return DueCharge(
        entry=entry,
        key=PACKAGE,
        kind=PriceKind.PACKAGE,
        description=item.name if item else entry.package.name,
        quantity=Decimal(1),
        unit=item.unit if item else PriceUnit.PIECE,
        price=item.price if item else None,
        tax_code=item.tax_code if item else "standard",
        item_code=item.part_number if item else "",
    )


def _from_item(entry: Entry, key: str, item: PriceItem, *, words: str = "") -> DueCharge:
    return DueCharge(
        entry=entry,
        key=key,
        kind=item.kind,
        description=words or item.name,
        quantity=Decimal(1),
        unit=item.unit,
        price=item.price,
        percent=item.percent,
        tax_code=item.tax_code,
        item_code=item.part_number,
    )


def _extra_sessions(entries: Sequence[Entry], items: Sequence[PriceItem]) -> Iterable[DueCharge]:
    """Sessions after which there was a follow-up or a change, beyond those included."""
    item = item_of_kind(items, PriceKind.EXTRA_SESSION)
    if item is None:
        return
    ids = [entry.pk for entry in entries]
    worked: dict[int, dict[int, tuple[datetime.datetime, int]]] = defaultdict(dict)
    marks = TaskMark.objects.filter(
        entry__in=ids,
        session__isnull=False,
        mark=Mark.DONE,
        withdrawn_at__isnull=True,
        item__cadence=Cadence.FOLLOW_UP,
    )
    changes = Adjustment.objects.filter(
        entry__in=ids,
        session__isnull=False,
        kind=RowKind.CHANGE,
        state=RowState.PLACED,
    )
    for rows in (marks, changes):
        columns = "entry", "session", "session__planned_start", "session__number"
        for entry_id, session_id, start, number in rows.values_list(*columns).distinct():
            worked[entry_id][session_id] = (start, number)
    for entry in entries:
        if entry.package.advice_only:
            continue
        sessions = sorted(worked[entry.pk].items(), key=lambda pair: pair[1])
        for session_id, (_start, number) in sessions[entry.package.follow_ups :]:
            words = _("%(item)s (session %(number)s)") % {"item": item.name, "number": number}
            yield _from_item(entry, f"extra:{session_id}", item, words=words)


def _fittings(entries: Sequence[Entry], items: Sequence[PriceItem]) -> Iterable[DueCharge]:
    """Parts fitted on the day, each with the labour the price list has for its kind.

    Two entries of one bike on one day: the first of them carries its parts.
    """
    by_bike: dict[int, list[Entry]] = defaultdict(list)
    for entry in sorted(entries, key=lambda e: e.pk):
        by_bike[entry.bike_id].append(entry)
    days = [clock.bounds(entry.trackday) for entry in entries]
    fitted = Fitting.objects.filter(
        bike__in=list(by_bike),
        fitted_at__gte=min(start for start, _end in days),
        fitted_at__lt=max(end for _start, end in days),
    ).order_by("fitted_at", "pk")
    currency = business_get().currency
    labour = {item.fitting_kind: item for item in items if item.fitting_kind and item.active}
    for fitting in fitted:
        for entry in [e for e in by_bike[fitting.bike_id] if _on_day(e, fitting.fitted_at)][:1]:
            yield _part(entry, fitting, items, currency)
            work = labour.get(fitting.kind)
            if work is not None:
                yield _from_item(entry, f"labour:{fitting.pk}", work)


def _part(entry: Entry, fitting: Fitting, items: Sequence[PriceItem], currency: str) -> DueCharge:
    """The part by the price on the fitting, else by the price list's part of that name."""
    key = f"part:{fitting.pk}"
    listed = next(
        (i for i in items if i.kind == PriceKind.PART and fitting.name in (i.name, i.part_number)),
        None,
    )
    due = DueCharge(
        entry=entry,
        key=key,
        kind=PriceKind.PART,
        description=fitting.name,
        quantity=Decimal(1),
        unit=PriceUnit.PIECE,
        price=None,
        tax_code="standard",
    )
    if listed is not None:
        due = _from_item(entry, key, listed)
    if fitting.price_minor is not None:
        due = replace(due, price=to_major(fitting.price_minor, exponent(currency)))
    return due


def _travel(entries: Sequence[Entry]) -> Iterable[DueCharge]:
    terms = terms_get()
    item = terms.travel
    if item is None or not item.active:
        return
    for entry, quantity, price in travel.shares(entries, item):
        yield replace(_from_item(entry, travel.KEY, item), quantity=quantity, price=price)


def _charges(entries: Sequence[Entry]) -> dict[int, list[Charge]]:
    made: dict[int, list[Charge]] = defaultdict(list)
    rows = Charge.objects.filter(
        entry__in=[entry.pk for entry in entries], withdrawn_at__isnull=True
    ).select_related("item")
    for charge in rows:
        made[charge.entry_id].append(charge)
    return made


def _accepted_prices(entries: Sequence[Entry]) -> dict[tuple[int, str], Quoted]:
    """What was agreed in an accepted quote stands, whatever the price list says now."""
    rows = DocumentLine.objects.filter(
        entry__in=[entry.pk for entry in entries],
        document__kind=DocumentKind.QUOTE,
        document__acceptance__isnull=False,
    ).order_by("document__acceptance__at")
    columns = "entry", "charge_key", "price", "document__prices_include_tax", "taxes"
    return {
        (entry_id, key): Quoted(price, included, taxes)
        for entry_id, key, price, included, taxes in rows.values_list(*columns)
    }


def _merged(
    derived: list[DueCharge], charges: list[Charge], quoted: dict[tuple[int, str], Quoted]
) -> list[DueCharge]:
    by_key = {charge.key: charge for charge in charges}
    if ABSENCE in by_key:
        derived = []
    merged = [
        _from_charge(due.entry, by_key.pop(due.key))
        if due.key in by_key
        else _as_quoted(due, quoted.get((due.entry.pk, due.key)))
        for due in derived
    ]
    return merged + [_from_charge(charge.entry, charge) for charge in by_key.values()]


def _as_quoted(due: DueCharge, quoted: Quoted | None) -> DueCharge:
    return due if quoted is None else replace(due, price=quoted.price, quoted=quoted)


def _from_charge(entry: Entry, charge: Charge) -> DueCharge:
    item = charge.item
    return DueCharge(
        entry=entry,
        key=charge.key,
        kind=charge.kind,
        description=charge.description,
        quantity=charge.quantity,
        unit=charge.unit,
        price=charge.price,
        percent=charge.percent,
        tax_code=charge.tax_code,
        item_code=item.part_number if item else "",
        charge=charge,
        waived_why=charge.waived_why,
    )


def _on_day(entry: Entry, moment: datetime.datetime) -> bool:
    start, end = clock.bounds(entry.trackday)
    return start <= moment < end
