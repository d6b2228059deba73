"""Parts put on and taken off; never an adjuster change."""

import uuid
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from ..enums import FittingKind
from ..models import Bike, Fitting

WITH_END = {FittingKind.TYRE, FittingKind.SPRING, FittingKind.OIL}


@transaction.atomic
def fitting_fit(
    *, fitting_id: uuid.UUID, bike: Bike, kind: str, name: str, fitted_at: datetime, end: str = "",
    **details: Any,
) -> Fitting:  # fmt: skip
    """Fit a part. The one of its kind that was on that end comes off at the same time.

    ``details``: compound, date_code, warmers_c, new_depth_mm, price_minor,
    maker_range_kpa, detail, due_after_outings.
    """
    if not name.strip():
        raise ValidationError(_("Say what is fitted: make and model as written on the part."))
    if kind in WITH_END and not end:
        raise ValidationError(_("Say which end it is fitted to: front or rear."))
    _check_ranges(details.get("maker_range_kpa") or {})
    on = Fitting.objects.filter(bike=bike, kind=kind, end=end, removed_at=None)
    on.update(removed_at=fitted_at)
    return Fitting.objects.create(
        id=fitting_id, bike=bike, kind=kind, end=end, name=name.strip(), fitted_at=fitted_at,
        **details,
    )  # fmt: skip


def fitting_remove(*, fitting: Fitting, at: datetime) -> Fitting:
    if fitting.removed_at is not None:
        raise ValidationError(_("This part is off already."))
    fitting.removed_at = at
    fitting.save(update_fields=["removed_at"])
    return fitting


def _check_ranges(ranges: dict[str, list[float]]) -> None:
    for low, high in ranges.values():
        if not 50 <= low < high <= 400:
            raise ValidationError(
                _(
                    "The maker's range must lie between 50 and 400 kPa (0.5 to 4 bar, "
                    "7 to 58 psi), the lower figure first."
                )
            )
