"""Quotes and invoices from the charges of a customer's entries."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from decimal import Decimal
from fractions import Fraction

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from jobs.people.models import Customer, User
from jobs.people.selectors import business_get
from jobs.trackday.models import Entry, Trackday

from ..enums import DocumentKind
from ..models import Document, Terms
from ..money import apportion, exponent, to_minor
from ..selectors.due_charges import DueCharge, due_charges
from ..selectors.ledger import deposits_for, replaced_by
from ..selectors.prices import TaxTable, terms_get
from ..selectors.story import story_of
from .document_writing import Draft, DraftAllowance, DraftLine, document_write
from .prepaid import prepaid_renew, prepayments_take_off


@transaction.atomic
def quote_draft(*, customer: Customer, entries: Sequence[Entry], by: User) -> Document:
    """A quote of everything these entries are booked for, with the cancellation scale."""
    terms = terms_get()
    lines, allowances = _from_dues(customer, entries, terms, already=True)
    return document_write(
        Draft(
            kind=DocumentKind.QUOTE,
            customer=customer,
            lines=lines,
            allowances=allowances,
            terms=terms,
            by=by,
            trackday=_one_day(entries),
            story=story_of(entries),
            terms_text=cancellation_words(terms),
        )
    )


@transaction.atomic
def invoice_draft(
    *, customer: Customer, entries: Sequence[Entry], by: User | None, note: str = ""
) -> Document:
    """An invoice of what these entries still owe, after the deposit asked for before.

    Raises ValidationError naming every line without a price, or that nothing is left to
    charge. Entries of several bikes make one invoice; call it once each for several.
    Two people who bill one customer at the same moment are served one after the other; the
    second finds the charges on the first one's document.
    """
    Customer.objects.select_for_update(no_key=True).get(pk=customer.pk)
    terms = terms_get()
    lines, allowances = _from_dues(customer, entries, terms)
    ids = [entry.pk for entry in entries]
    draft = Draft(
        kind=DocumentKind.INVOICE,
        customer=customer,
        lines=lines,
        allowances=allowances,
        terms=terms,
        by=by,
        trackday=_one_day(entries),
        follows=next((one for one in deposits_for(ids) if replaced_by(one) is None), None),
        story=story_of(entries),
        note=note,
        terms_text=terms.payment_text,
    )
    document = document_write(prepayments_take_off(draft, ids))
    prepaid_renew(document)
    document.save(update_fields=["prepaid_minor", "payable_minor"])
    return document


@transaction.atomic
def draft_discard(*, document: Document) -> None:
    """Throw a draft away. An issued document stays: ValidationError says how to correct it."""
    document = Document.objects.select_for_update(no_key=True).get(pk=document.pk)
    if not document.is_draft:
        raise ValidationError(
            _("%(label)s is issued and stays; a credit note takes it back.")
            % {"label": document.label}
        )
    document.delete()


def _one_day(entries: Sequence[Entry]) -> Trackday | None:
    days = {entry.trackday_id: entry.trackday for entry in entries}
    return next(iter(days.values())) if len(days) == 1 else None


def _from_dues(
    customer: Customer, entries: Sequence[Entry], terms: Terms, *, already: bool = False
) -> tuple[list[DraftLine], list[DraftAllowance]]:
    """Lines and discounts of what is open; ``already``: of what is billed too (a quote)."""
    by_entry = due_charges(entries)
    found = [
        due
        for entry in entries
        for due in by_entry[entry.pk]
        if not due.waived_why and (already or due.document_id is None)
    ]
    unpriced = [due for due in found if due.is_unpriced]
    if unpriced:
        raise ValidationError(
            [_("%(what)s has no price yet.") % {"what": due.description} for due in unpriced]
        )
    sold = [due for due in found if not due.is_discount]
    if not sold:
        raise ValidationError(_("%(name)s has nothing left to be charged.") % {"name": customer})
    table = TaxTable(terms.scheme)
    lines = [_line(due, table) for due in sold]
    places = exponent(business_get().currency)
    discounts = [due for due in found if due.is_discount]
    return lines, [a for due in discounts for a in _discount(due, lines, places)]


def _line(due: DueCharge, table: TaxTable) -> DraftLine:
    assert due.price is not None
    return DraftLine(
        description=due.description,
        price=due.price,
        quantity=due.quantity,
        unit=due.unit,
        taxes=table.on(due.tax_code, due.entry.trackday.date),
        entry=due.entry,
        charge_key=due.key,
        item_code=due.item_code,
    )


def _discount(due: DueCharge, lines: Sequence[DraftLine], places: int) -> list[DraftAllowance]:
    """A discount comes off the entry's own lines, once for each tax they carry.

    A fixed sum is divided among the taxes in proportion to the lines, by largest remainder.
    """
    groups: dict[str, int] = defaultdict(int)
    taxes = {}
    for line in lines:
        if line.entry is not None and line.entry.pk == due.entry.pk:
            groups[repr(line.taxes)] += to_minor(line.quantity * line.price, places)
            taxes[repr(line.taxes)] = line.taxes
    whole = sum(groups.values())
    if whole <= 0:
        return []
    if due.percent is not None:
        parts = [to_minor(amount * due.percent / 100, 0) for amount in groups.values()]
    else:
        total = to_minor(due.quantity * (due.price or Decimal(0)), places)
        parts = apportion(total, [Fraction(total * amount, whole) for amount in groups.values()])
    return [
        DraftAllowance(
            reason=due.description,
            amount_minor=part,
            taxes=taxes[key],
            entry=due.entry,
            charge_key=due.key,
        )
        for key, part in zip(groups, parts, strict=True)
        if part
    ]


def cancellation_words(terms: Terms) -> str:
    """The business's own scale in a sentence, told at booking."""
    steps = sorted(terms.cancellation_scale, reverse=True)
    parts: Iterable[str] = (
        _("%(part)s up to %(days)s days before") % {"part": _part(percent), "days": days}
        if days
        else _("%(part)s after that") % {"part": _part(percent)}
        for days, percent in steps
    )
    words = _("If you cancel we charge %(steps)s; %(no_show)s if nobody comes.") % {
        "steps": ", ".join(parts),
        "no_show": _part(terms.no_show_percent),
    }
    weather = _("Called off for weather we charge %(part)s, called off by us nothing.") % {
        "part": _part(terms.weather_percent)
    }
    return f"{words} {weather}"


def _part(percent: int) -> str:
    return _("nothing") if not percent else f"{percent} %"
