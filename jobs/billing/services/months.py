"""Closed months: into the books up to that day nothing is issued, paid or struck through.

The database refuses it too (``triggers``). Only whole months that are over are closed, so
closing never meets what somebody issues today.
"""

import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from jobs.people.dates import business_today
from jobs.people.enums import TrailEvent
from jobs.people.models import User
from jobs.people.trail import trail_note

from ..models import Terms
from ..selectors.months import last_day_of
from ..selectors.prices import terms_get


@transaction.atomic
def month_close(*, month: datetime.date, by: User) -> datetime.date:
    """Close a month, named by any of its days, and all before it. Returns the last closed day.

    A month that is closed already stays so. Raises ValidationError for one that is not over.
    """
    end = last_day_of(month)
    if end >= business_today():
        raise ValidationError(
            _("%(month)s is not over: it can be closed from the day after its last.")
            % {"month": date_format(month, "F Y")}
        )
    Terms.objects.get_or_create(pk=1)
    terms = Terms.objects.select_for_update(no_key=True).get(pk=1)
    if terms.closed_through is None or terms.closed_through < end:
        Terms.objects.filter(pk=1).update(closed_through=end)
        trail_note(TrailEvent.MONTH_CLOSED, by=by, ref=f"{end:%Y-%m}")
    return end


@transaction.atomic
def month_open(*, by: User) -> datetime.date:
    """Open the last closed month again. Returns its first day; one month at a time."""
    terms = (
        Terms.objects.select_for_update(no_key=True).filter(closed_through__isnull=False).first()
    )
    if terms is None or terms.closed_through is None:
        raise ValidationError(_("No month is closed."))
    first = terms.closed_through.replace(day=1)
    Terms.objects.filter(pk=1).update(closed_through=first - datetime.timedelta(days=1))
    trail_note(TrailEvent.MONTH_OPENED, by=by, ref=f"{first:%Y-%m}")
    return first


def refuse_closed(day: datetime.date, *, what: str, instead: str) -> None:
    """Raise ValidationError where ``day`` is closed: what is refused, and what to do instead."""
    closed = terms_get().closed_through
    if closed is not None and day <= closed:
        raise ValidationError(
            _("%(what)s is dated %(day)s, and the books are closed up to %(end)s. %(instead)s"
              " Or a tuner opens the month again, under Tax and export.")
            % {
                "what": what,
                "day": date_format(day, "j F Y"),
                "end": date_format(closed, "j F Y"),
                "instead": instead,
            }
        )  # fmt: skip
