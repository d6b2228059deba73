"""Weather and track, entered once for a time."""

import uuid
from datetime import datetime
from decimal import Decimal

from jobs.people.models import User

from ..models import Conditions, Trackday


def conditions_enter(
    *,
    conditions_id: uuid.UUID,
    trackday: Trackday,
    by: User,
    at: datetime,
    wet: bool,
    air_c: Decimal | None = None,
    track_c: Decimal | None = None,
    wind: str = "",
) -> Conditions:
    """Write down air, track, wet or dry; every outing from then on inherits it."""
    return Conditions.objects.create(
        id=conditions_id,
        trackday=trackday,
        at=at,
        air_c=air_c,
        track_c=track_c,
        wet=wet,
        wind=wind,
        by=by,
    )


def conditions_withdraw(*, conditions: Conditions, at: datetime) -> None:
    """Take an entry back; the one before counts again."""
    if conditions.withdrawn_at is None:
        conditions.withdrawn_at = at
        conditions.save(update_fields=["withdrawn_at"])
