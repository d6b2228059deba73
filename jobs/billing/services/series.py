"""How the numbers of documents begin: the letters before them, and the first one.

A business that wrote its invoices elsewhere before continues with the next number. From then
on numbers only count up: a series has no gap, and no printed number is given twice.
"""

import re

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from ..enums import DocumentKind
from ..models import Document, Series

PREFIXES = {
    DocumentKind.QUOTE: "Q-",
    DocumentKind.DEPOSIT_REQUEST: "D-",
    DocumentKind.PREPAYMENT_INVOICE: "P-",
    DocumentKind.INVOICE: "INV-",
    DocumentKind.CREDIT_NOTE: "C-",
}
# Short enough that prefix and number still fit the 21 characters of an ISO 11649 reference.
PREFIX = re.compile(r"[A-Z0-9][A-Z0-9/.-]{0,11}", re.IGNORECASE)


def series_of(kind: DocumentKind) -> Series:
    """The counter of a kind of document; begun at 1 with our own letters where there is none."""
    series, _made = Series.objects.get_or_create(kind=kind, defaults={"prefix": PREFIXES[kind]})
    return series


def series_all() -> list[Series]:
    """One of each kind, in the order of the trade; those not begun are not saved."""
    begun = {series.kind: series for series in Series.objects.all()}
    return [begun.get(kind) or Series(kind=kind, prefix=PREFIXES[kind]) for kind in DocumentKind]


@transaction.atomic
def series_begin(*, kind: DocumentKind, letters: str, first: int | None = None) -> Series:
    """Set the letters before the numbers of ``kind``, for documents issued from now on.

    ``first`` is the first number, before any document of the kind was drafted. Raises
    ValidationError by field where numbers could be mistaken for one another.
    """
    prefix = letters.strip()
    _refuse_prefix(kind, prefix)
    series = Series.objects.select_for_update(no_key=True).filter(kind=kind).first()
    if series is None:
        return Series.objects.create(kind=kind, prefix=prefix, next=first or 1)
    if first is not None and first != series.next:
        raise ValidationError(
            {"first": _("%(kind)s: numbers are counting already; the next one is %(next)d.")
             % {"kind": kind.label, "next": series.next}}
        )  # fmt: skip
    Series.objects.filter(pk=series.pk).update(prefix=prefix)
    series.prefix = prefix
    return series


def _refuse_prefix(kind: DocumentKind, prefix: str) -> None:
    wrong = ""
    if not PREFIX.fullmatch(prefix):
        wrong = _(
            "“%(prefix)s”: letters, digits, a hyphen, a stop or a slash, at most 12 of them,"
            " a letter or a digit first."
        ) % {"prefix": prefix}
    elif prefix[-1].isdigit():
        wrong = _(
            "“%(prefix)s” ends in a digit: nobody would see where the number begins."
            " End it with a letter or a hyphen."
        ) % {"prefix": prefix}
    else:
        other = _mistaken_for(kind, prefix)
        if other:
            wrong = _("“%(prefix)s” could be taken for a number of another kind: %(other)s.") % {
                "prefix": prefix,
                "other": other.label,
            }
    if wrong:
        raise ValidationError({"letters": wrong})


def _mistaken_for(kind: DocumentKind, prefix: str) -> DocumentKind | None:
    """The other kind whose references ``prefix`` could make too, today or on issued documents."""
    for series in series_all():
        if series.kind != kind and _alike(series.prefix, prefix):
            return DocumentKind(series.kind)
    issued = Document.objects.exclude(kind=kind).filter(label__istartswith=prefix)
    other = issued.values_list("kind", flat=True).first()
    return DocumentKind(other) if other else None


def _alike(one: str, other: str) -> bool:
    """References keep letters and digits only: R-1 and R1 are one, and R could count up to R1."""
    short, long = sorted((re.sub(r"[^A-Z0-9]", "", text.upper()) for text in (one, other)), key=len)
    rest = long.removeprefix(short)
    return long.startswith(short) and (not rest or rest.isdigit())
