"""Whether issued documents carry a tax rate."""

import datetime

from django.db.models import F, Max, Q
from django.db.models.functions import Coalesce

from ..enums import TAX_DOCUMENTS
from ..models import DocumentTax, TaxRate


def rate_last_used(rate: TaxRate) -> datetime.date | None:
    """The last day of supply of the issued invoices that carry a rate; None: it is unused.

    An invoice keeps the rate's name and percent, not its row: what has both and a day of
    supply within the rate's own days is taken to carry it. So is one of a reduced rate that
    has the same name and percent, which keeps a rate rather than losing it.
    """
    days = Q(supplied__gte=rate.valid_from)
    if rate.valid_to is not None:
        days &= Q(supplied__lte=rate.valid_to)
    found: datetime.date | None = (
        DocumentTax.objects.filter(
            document__number__isnull=False,
            document__kind__in=TAX_DOCUMENTS,
            category=rate.category,
            percent=rate.percent,
            name=rate.name,
        )
        .annotate(supplied=Coalesce(F("document__delivered_on"), F("document__issued_on")))
        .filter(days)
        .aggregate(last=Max("supplied"))["last"]
    )
    return found
