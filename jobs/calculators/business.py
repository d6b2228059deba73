"""Inputs of the calculators from the business: its own figures, its units, its springs."""

from jobs.garage.models import SpringInVan
from jobs.people.selectors import business_get, own_bands

from .inputs import BusinessFigures, SpringInStock


def business_figures(slug: str = "") -> BusinessFigures:
    """The business's own figures, currency and units. Two queries.

    ``slug``: the calculator they are for; one more query for that which needs the van's springs.
    """
    business = business_get()
    units = {"pressure": business.pressure_unit, "temperature": business.temperature_unit}
    return BusinessFigures(
        bands=own_bands(business),
        currency=business.currency,
        units=units,
        springs=_springs_in_stock() if slug == "ring" else None,
    )


def _springs_in_stock() -> tuple[SpringInStock, ...]:
    return tuple(
        SpringInStock(one.end, float(one.rate_n_per_mm), one.description, one.pieces)
        for one in SpringInVan.objects.filter(pieces__gt=0)
    )
