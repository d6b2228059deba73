"""A booked bike that does not come: off the day and charged its part, told once.

Wherever it is told, in Money or at the entry, the bike loses its tasks and its place in the
plan, and the business's own scale says what is charged.
"""

import datetime
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from jobs.people.dates import business_today
from jobs.people.enums import TrailEvent
from jobs.people.models import User
from jobs.people.selectors import business_get
from jobs.people.trail import trail_note
from jobs.trackday.enums import Absence
from jobs.trackday.models import Entry, Trackday
from jobs.trackday.selectors import entries_coming
from jobs.trackday.services import entry_absence_set, revision_bump

from ..enums import PriceKind
from ..models import Charge
from ..money import exponent, to_major, to_minor
from ..selectors.due_charges import ABSENCE, PACKAGE, DueCharge, due_charges
from ..selectors.prices import tax_factor, terms_get
from .charges import charge_end, entry_full, refuse_billed


@transaction.atomic
def entry_cancel(
    *, entry: Entry, absence: str, by: User, on: datetime.date | None = None
) -> Charge:
    """Take an entry off the day, and charge a part of its package by the scale.

    Told again with another reason, the later one counts. Refused where something of it is on
    a document already: that is credited first. A package without a price leaves a charge
    without one.
    """
    charge = _cancel(entry, Absence(absence), by, on or business_today())
    revision_bump(trackday_id=entry.trackday_id)
    return charge


def _cancel(entry: Entry, absence: Absence, by: User, on: datetime.date) -> Charge:
    dues = due_charges([entry_full(entry)])[entry.pk]
    for due in dues:
        refuse_billed(due)
        if due.key == ABSENCE and due.charge is not None:
            charge_end(due.charge, by)
            dues = due_charges([entry_full(entry)])[entry.pk]
    package = next(due for due in dues if due.key == PACKAGE)
    percent = absence_percent(absence, (entry.trackday.date - on).days)
    entry_absence_set(entry=entry, absence=absence)
    return _charge(entry, package, absence, percent, by)


def _charge(entry: Entry, package: DueCharge, absence: Absence, percent: int, by: User) -> Charge:
    places = exponent(business_get().currency)
    part = None
    if package.price is not None:
        part = to_major(to_minor(_list_price(package) * percent / 100, places), places)
    words = _("%(package)s: %(why)s, %(percent)s %%") % {
        "package": package.description,
        "why": absence.label,
        "percent": percent,
    }
    is_free = not percent or part == 0
    charge = Charge.objects.create(
        entry=entry,
        key=ABSENCE,
        kind=PriceKind.PACKAGE,
        description=words[:200],
        price=Decimal(0) if is_free else part,
        tax_code=package.tax_code,
        waived_why=str(absence.label) if is_free else "",
        by=by,
    )
    trail_note(TrailEvent.CHARGE_ADDED, by=by, ref=charge.pk)
    return charge


def _list_price(package: DueCharge) -> Decimal:
    """The price as the list writes prices now, with or without tax; a quote may have it else."""
    price, quoted = package.price or Decimal(0), package.quoted
    included = terms_get().prices_include_tax
    if quoted is None or quoted.is_tax_included == included:
        return price
    factor = tax_factor(quoted.taxes)
    return price * factor if included else price / factor


@transaction.atomic
def entry_comes_after_all(*, entry: Entry, by: User) -> None:
    """A bike off the day is expected again, and charged as it was booked."""
    entry_expect(entry=entry, by=by)
    revision_bump(trackday_id=entry.trackday_id)


def entry_expect(*, entry: Entry, by: User) -> None:
    """The same inside an act, which raises the day's revision itself."""
    charge = Charge.objects.filter(entry=entry, key=ABSENCE, withdrawn_at__isnull=True).first()
    if charge is not None:
        due = next(d for d in due_charges([entry_full(entry)])[entry.pk] if d.key == ABSENCE)
        if due.document_id is None:  # what is billed stays until it is credited
            charge_end(charge, by)
    entry_absence_set(entry=entry, absence=None)


@transaction.atomic
def day_call_off(*, trackday: Trackday, absence: str, by: User) -> list[tuple[Entry, str]]:
    """Take every bike off a day. Returns those that were left in, each with its reason."""
    left_in = []
    for entry in entries_coming(trackday).select_related("trackday", "group").order_by("pk"):
        try:
            with transaction.atomic():
                _cancel(entry, Absence(absence), by, business_today())
        except ValidationError as error:
            left_in.append((entry, " ".join(error.messages)))
    revision_bump(trackday_id=trackday.pk)
    return left_in


def absence_percent(absence: str, days_before: int) -> int:
    """Percent of the package, by the terms. The scale's steps hold from so many days on."""
    terms = terms_get()
    if absence == Absence.NO_SHOW:
        return terms.no_show_percent
    if absence == Absence.WEATHER:
        return terms.weather_percent
    if absence == Absence.BY_US:
        return 0
    steps: list[tuple[int, int]] = sorted(terms.cancellation_scale, reverse=True)
    return next((percent for days, percent in steps if days_before >= days), steps[-1][1])
