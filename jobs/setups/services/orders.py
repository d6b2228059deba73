"""A change to be done, written by a tuner. Helpers change only by order."""

import uuid
from decimal import Decimal

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from jobs.garage.enums import Function
from jobs.garage.models import Adjuster

from .. import ledger, limits
from ..models import Finding, Order
from ..origin import RowOrigin


@transaction.atomic
def order_write(
    *,
    origin: RowOrigin,
    adjuster: Adjuster,
    from_position: Decimal,
    to_position: Decimal,
    reason: str = "",
    step_reason: str = "",
    second_reason: str = "",
    tyre_state: str = "",
    expectation: str = "",
    condition: str = "",
    finding: Finding | None = None,
    linked: uuid.UUID | None = None,
) -> Order:
    """Order one adjuster from where it stands to ``to_position``.

    It starts from where the book says; a tyre pressure from what the gauge read,
    ``from_position``, as its change does.

    ``expectation``, ``condition`` and ``finding`` go with it: whoever carries it out writes
    the change as if the tuner had made it himself.
    """
    if not origin.by.is_tuner:
        raise PermissionDenied(_("Only a tuner orders a change."))
    adjuster = ledger.adjuster_lock(adjuster)
    start = _start(adjuster, from_position)
    if start == to_position:
        raise ValidationError(_("It stands there already."))
    limits.check_usable(adjuster)
    limits.check_on_step(adjuster, to_position)
    limits.check_in_range(adjuster, to_position)
    limits.check_small_step(adjuster, start, to_position, step_reason)
    return Order.objects.create(
        **origin.fields(),
        adjuster=adjuster,
        from_position=start,
        to_position=to_position,
        reason=reason or step_reason,
        second_reason=second_reason,
        tyre_state=tyre_state,
        expectation=expectation.strip(),
        condition=condition.strip(),
        finding=finding,
        linked=linked,
    )


def _start(adjuster: Adjuster, from_position: Decimal) -> Decimal:
    if adjuster.function == Function.TYRE_PRESSURE:
        return from_position
    last = ledger.last_placed(adjuster)
    if last is None:
        raise ValidationError(_("This adjuster has not been counted yet: count it first."))
    return last.to_position
