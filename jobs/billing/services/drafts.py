"""Quotes and invoices from the charges of a customer's entries."""

from collections.abc import Iterable, Sequence

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from jobs.people.models import Customer, User
from jobs.trackday.models import Entry, Trackday

from ..enums import DocumentKind
from ..models import Document, Terms
from ..selectors.ledger import deposits_for, replaced_by
from ..selectors.prices import terms_get
from ..selectors.story import story_of
from .document_writing import Draft, document_write
from .due_lines import parts_from_dues
from .prepaid import prepaid_renew, prepayments_take_off


@transaction.atomic
def quote_draft(*, customer: Customer, entries: Sequence[Entry], by: User) -> Document:
    """A quote of everything these entries are booked for, with the cancellation scale."""
    terms = terms_get()
    parts = parts_from_dues(customer, entries, terms, already=True)
    return document_write(
        Draft(
            kind=DocumentKind.QUOTE,
            customer=customer,
            lines=parts.lines,
            allowances=parts.allowances,
            prices_include_tax=parts.is_tax_included,
            terms=terms,
            by=by,
            trackday=_one_day(entries),
            story=story_of(entries, worked=False),
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
    parts = parts_from_dues(customer, entries, terms)
    ids = [entry.pk for entry in entries]
    draft = Draft(
        kind=DocumentKind.INVOICE,
        customer=customer,
        lines=parts.lines,
        allowances=parts.allowances,
        prices_include_tax=parts.is_tax_included,
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
