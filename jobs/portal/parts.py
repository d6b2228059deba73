"""What is fitted to a bike, how old it is, and when its next service is due."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.utils.formats import date_format
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.garage.enums import FittingKind
from jobs.garage.models import Bike, Fitting
from jobs.garage.words import at_end
from jobs.setups.selectors import FittedPart, parts_of_bike
from jobs.worklist.selectors import holds_of_bike


@dataclass(frozen=True)
class PartOn:
    """One part that is on, in words."""

    part: FittedPart

    @property
    def fitting(self) -> Fitting:
        return self.part.fitting

    @property
    def what(self) -> str:
        """ "Front tyre", "Chain and sprockets": which part it is."""
        if not self.fitting.end:
            return capfirst(str(self.fitting.get_kind_display()))
        return at_end(self.fitting.get_end_display(), self.fitting.get_kind_display())

    @property
    def name(self) -> str:
        details = (self.fitting.name, self.fitting.compound, self.fitting.detail)
        return ", ".join(one for one in details if one)

    @property
    def age(self) -> str:
        since = date_format(self.fitting.fitted_at, "j F Y")
        n = self.part.outings
        return ngettext(
            "On since %(day)s, %(n)s outing.", "On since %(day)s, %(n)s outings.", n
        ) % {"day": since, "n": n}

    @property
    def made(self) -> str:
        """When a tyre was made, where its code was read: week and year, two digits each."""
        code = self.fitting.date_code
        if len(code) == 4 and code.isascii() and code.isdecimal():
            return _("Made in week %(week)d of 20%(year)s.") % {
                "week": int(code[:2]),
                "year": code[2:],
            }
        return _("Its date code: %(code)s.") % {"code": code} if code else ""

    @property
    def due(self) -> str:
        most = self.fitting.due_after_outings
        if most is None:
            return ""
        left = most - self.part.outings
        if left <= 0:
            return _("Its service is due now.")
        return ngettext(
            "Its next service is due after %(n)s more outing.",
            "Its next service is due after %(n)s more outings.",
            left,
        ) % {"n": left}


ORDER = (FittingKind.TYRE, FittingKind.SPRING, FittingKind.OIL, FittingKind.GEARING)


def fitted_parts(bike: Bike, at: datetime) -> list[FittedPart]:
    """Every part the bike had by ``at``, with its outings until then: eight queries at most."""
    parts = parts_of_bike(bike, at, holds_of_bike(bike.pk))
    return [one for one in parts if one.fitting.fitted_at <= at]


def parts_on(parts: Iterable[FittedPart], at: datetime) -> list[PartOn]:
    """Those that were on at ``at``: tyres first, the front before the rear."""
    on = [
        PartOn(one)
        for one in parts
        if one.fitting.removed_at is None or one.fitting.removed_at > at
    ]
    kinds = {kind: number for number, kind in enumerate(ORDER)}
    return sorted(on, key=lambda p: (kinds.get(FittingKind(p.fitting.kind), 9), p.fitting.end))


def tyre_costs(
    parts: Sequence[FittedPart], *, since: datetime | None = None, until: datetime | None = None
) -> list[tuple[date, str, float]]:
    """What a session cost of each tyre that came off, in minor units: (day off, end, cost).

    Only tyres of which the price is known, that went out, and that were bought and worn out
    between ``since`` and ``until``.
    """
    found = []
    for one in parts:
        fitting = one.fitting
        off = fitting.removed_at
        if fitting.kind != FittingKind.TYRE or not fitting.price_minor or not one.outings:
            continue
        if off is None or (since and fitting.fitted_at < since) or (until and off > until):
            continue
        found.append((off.date(), fitting.end, fitting.price_minor / one.outings))
    return sorted(found)
