"""Tax rates: from a day on, ended, and corrected while no invoice carries them."""

import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from ..models import TaxRate
from ..selectors.tax_rates import rate_last_used

DAY = datetime.timedelta(days=1)


@transaction.atomic
def tax_rate_add(*, ends_former: bool = True, **values: Any) -> TaxRate:
    """A new rate from a day on. The former one of that name ends the day before."""
    rate = TaxRate(**values)
    if ends_former:
        _of_its_name(rate).filter(valid_from__lt=rate.valid_from, valid_to__isnull=True).update(
            valid_to=rate.valid_from - DAY
        )
    rate.full_clean()
    rate.save()
    return rate


@transaction.atomic
def tax_rate_correct(*, rate: TaxRate, **values: Any) -> TaxRate:
    """Enter a rate rightly that no invoice carries. The former one ends the day before it."""
    rate = TaxRate.objects.select_for_update(no_key=True).get(pk=rate.pk)
    _refuse_used(rate)
    former = _former(rate)
    for name, value in values.items():
        setattr(rate, name, value)
    if former is not None:
        former.valid_to = rate.valid_from - DAY
        former.full_clean()
        former.save(update_fields=["valid_to"])
    rate.full_clean()
    rate.save()
    return rate


@transaction.atomic
def tax_rate_end(*, rate: TaxRate, valid_to: datetime.date | None) -> TaxRate:
    """The last day on which a rate applies; None: it goes on. Not before its last use."""
    rate = TaxRate.objects.select_for_update(no_key=True).get(pk=rate.pk)
    used = rate_last_used(rate)
    if used is not None and valid_to is not None and valid_to < used:
        raise ValidationError(
            {"valid_to": _("An invoice for %(day)s carries this rate.") % {"day": used}}
        )
    rate.valid_to = valid_to
    rate.full_clean()
    rate.save(update_fields=["valid_to"])
    return rate


@transaction.atomic
def tax_rate_remove(*, rate: TaxRate) -> None:
    """Remove a rate entered by mistake. The former one of its name goes on in its place."""
    rate = TaxRate.objects.select_for_update(no_key=True).get(pk=rate.pk)
    _refuse_used(rate)
    former = _former(rate)
    rate.delete()
    if former is not None:
        former.valid_to = rate.valid_to
        former.save(update_fields=["valid_to"])


def _of_its_name(rate: TaxRate) -> QuerySet[TaxRate]:
    same = TaxRate.objects.filter(code=rate.code, name=rate.name, jurisdiction=rate.jurisdiction)
    return same.exclude(pk=rate.pk)


def _former(rate: TaxRate) -> TaxRate | None:
    """The rate that this one ended."""
    return _of_its_name(rate).filter(valid_to=rate.valid_from - DAY).first()


def _refuse_used(rate: TaxRate) -> None:
    used = rate_last_used(rate)
    if used is not None:
        raise ValidationError(
            _("An invoice for %(day)s carries this rate: it stays, and can be ended after that.")
            % {"day": used}
        )
