"""How the numbers of documents begin: the letters before them, and the first one.

A business that wrote its invoices elsewhere before continues with the next number. From then
on numbers only count up: a series has no gap, and no printed number is given twice. A crew may
have series of its own; a kind of document that it has none of is numbered with the business's.
"""

import re
from collections import defaultdict

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from jobs.people.models import NamedCrew
from jobs.trackday.models import Trackday

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


def series_of(kind: DocumentKind, crew: int | None = None) -> Series:
    """The counter of a kind of document: the crew's own (``crew``: its id), else the business's,
    begun at 1 with our own letters where there is none."""
    own = Series.objects.filter(kind=kind, crew=crew).first() if crew else None
    if own is not None:
        return own
    series, _made = Series.objects.get_or_create(
        kind=kind, crew=None, defaults={"prefix": PREFIXES[kind]}
    )
    return series


def series_for(document: Document) -> Series:
    """The counter that a draft takes its number from: of its day's crew; of several days, of
    the crew that all of them have."""
    if document.trackday_id is not None:
        days = Trackday.objects.filter(pk=document.trackday_id)
        crews = set(days.values_list("named_crew", flat=True))
    else:
        lines = document.lines.filter(entry__isnull=False).order_by()
        crews = set(lines.values_list("entry__trackday__named_crew", flat=True))
    return series_of(DocumentKind(document.kind), crews.pop() if len(crews) == 1 else None)


def series_all(crew: NamedCrew | None = None) -> list[Series]:
    """One of each kind, in the order of the trade; those not begun are not saved.

    Of a crew, those not begun have no letters.
    """
    begun = {series.kind: series for series in Series.objects.filter(crew=crew)}
    return [
        begun.get(kind) or Series(kind=kind, crew=crew, prefix="" if crew else PREFIXES[kind])
        for kind in DocumentKind
    ]


def series_of_crews() -> list[tuple[NamedCrew, list[Series]]]:
    """Every crew with the series it has begun, in the order of the trade. Two queries."""
    kinds = [kind.value for kind in DocumentKind]
    begun: dict[int | None, list[Series]] = defaultdict(list)
    for series in sorted(Series.objects.exclude(crew=None), key=lambda one: kinds.index(one.kind)):
        begun[series.crew_id].append(series)
    return [(crew, begun[crew.pk]) for crew in NamedCrew.objects.all()]


@transaction.atomic
def series_begin(
    *, kind: DocumentKind, letters: str, first: int | None = None, crew: NamedCrew | None = None
) -> Series:
    """Set the letters before the numbers of ``kind``, for documents issued from now on.

    ``first`` is the first number, before any document of the kind was drafted. ``crew``: of its
    days only. Raises ValidationError by field where numbers could be mistaken for one another.
    """
    prefix = letters.strip()
    series = Series.objects.select_for_update(no_key=True).filter(kind=kind, crew=crew).first()
    _refuse_prefix(series or Series(kind=kind, crew=crew), prefix)
    if series is None:
        return Series.objects.create(kind=kind, crew=crew, prefix=prefix, next=first or 1)
    if first is not None and first != series.next:
        raise ValidationError(
            {"first": _("%(kind)s: numbers are counting already; the next one is %(next)d.")
             % {"kind": kind.label, "next": series.next}}
        )  # fmt: skip
    Series.objects.filter(pk=series.pk).update(prefix=prefix)
    series.prefix = prefix
    return series


def _refuse_prefix(series: Series, prefix: str) -> None:
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
        other = _mistaken_for(series, prefix)
        if other:
            wrong = _mistaken_words(series, other) % {"prefix": prefix, "other": _named(other)}
    if wrong:
        raise ValidationError({"letters": wrong})


def _mistaken_words(series: Series, other: Series) -> str:
    if series.kind == other.kind:
        return _("“%(prefix)s” could be taken for a number of another crew: %(other)s.")
    return _("“%(prefix)s” could be taken for a number of another kind: %(other)s.")


def _named(series: Series) -> str:
    kind = DocumentKind(series.kind).label
    return f"{kind}, {series.crew}" if series.crew else str(kind)


def _mistaken_for(own: Series, prefix: str) -> Series | None:
    """The other series whose references ``prefix`` could make too, today or on issued ones."""
    of_crews = Series.objects.exclude(crew=None).select_related("crew").order_by("pk")
    for series in [*series_all(), *of_crews]:
        if (series.kind, series.crew) != (own.kind, own.crew) and _alike(series.prefix, prefix):
            return series
    issued = Document.objects.exclude(series__kind=own.kind, series__crew=own.crew)
    other = issued.filter(label__istartswith=prefix).select_related("series__crew").first()
    return other.series if other else None


def _alike(one: str, other: str) -> bool:
    """References keep letters and digits only: R-1 and R1 are one, and R could count up to R1."""
    short, long = sorted((re.sub(r"[^A-Z0-9]", "", text.upper()) for text in (one, other)), key=len)
    rest = long.removeprefix(short)
    return long.startswith(short) and (not rest or rest.isdigit())
