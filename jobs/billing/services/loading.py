"""A whole price list from data: for the demo, and for a business that brings its own."""

import datetime
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from jobs.trackday.models import ServicePackage

from ..enums import PriceKind
from ..models import PriceItem, TaxRate, Terms
from .prices import price_item_save, terms_update
from .tax_rates import tax_rate_add


@transaction.atomic
def prices_load(*, data: Mapping[str, Any]) -> int:
    """Rates, prices and terms. What stands already is left alone. Returns how many prices.

    A package's price names the package by its code; ValidationError where there is none.
    """
    for rate in data.get("rates", []):
        start = datetime.date.fromisoformat(rate["valid_from"])
        known = TaxRate.objects.filter(code=rate["code"], name=rate["name"], valid_from=start)
        if not known.exists():
            tax_rate_add(
                **rate | {"valid_from": start, "percent": Decimal(rate["percent"])},
            )
    packages = {package.code: package for package in ServicePackage.objects.all()}
    known_codes = set(PriceItem.objects.values_list("code", flat=True))
    added = 0
    for order, item in enumerate(data.get("items", [])):
        if item["code"] not in known_codes:
            price_item_save(**_values(item, packages) | {"order": order})
            added += 1
    if not Terms.objects.exists():
        travel = PriceItem.objects.filter(code=data.get("travel"), kind=PriceKind.TRAVEL).first()
        values = dict(data.get("terms", {}))
        if "deposit_percent" in values:
            values["deposit_percent"] = Decimal(values["deposit_percent"])
        terms_update(**values, travel=travel)
    return added


def _values(item: Mapping[str, Any], packages: Mapping[str, ServicePackage]) -> dict[str, Any]:
    values = dict(item)
    for number in ("price", "percent"):
        if number in values:
            values[number] = Decimal(values[number])
    code = values.pop("package", None)
    if code is not None:
        if code not in packages:
            raise ValidationError(_("There is no service package “%(code)s”.") % {"code": code})
        values["package"] = packages[code]
    return values
