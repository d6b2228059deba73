"""The tyres the demo's bikes come on: fitted before the day, so nobody is charged for them."""

import uuid
from collections.abc import Collection
from datetime import timedelta
from decimal import Decimal

from jobs.garage.services import fitting_fit
from jobs.trackday.models import Entry, Trackday

from .business import fixture


def tyres_fit(*, trackday: Trackday, worn: bool = False, stays: Collection[Entry] = ()) -> None:
    """Give every bike of the day its tyres, with the maker's range, the depth and the price.

    ``worn``: those of an earlier day, changed before the next for the newer model, but on
    the bikes of the entries in ``stays``.
    """
    first = trackday.sessions.order_by("planned_start").values_list("planned_start", flat=True)[0]
    entries = trackday.entries.select_related("bike")
    keeps = {entry.bike_id for entry in stays}
    for given in fixture("tyres.json"):
        tyre = dict(given)
        fitted_at = first - timedelta(days=tyre.pop("days_before"))
        tyre["new_depth_mm"] = Decimal(tyre["new_depth_mm"])
        older = tyre.pop("older")
        for bike in {entry.bike for entry in entries}:
            name = older if worn and bike.pk not in keeps else tyre["name"]
            known = bike.fittings.filter(kind="tyre", end=tyre["end"])
            if known.filter(name__in=[name, tyre["name"]]).exists():
                continue  # it came to an earlier demo day on them
            fitting_fit(
                fitting_id=uuid.uuid4(), bike=bike, kind="tyre", fitted_at=fitted_at,
                **{**tyre, "name": name},
            )  # fmt: skip
