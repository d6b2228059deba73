"""Moments as elapsed minutes since local midnight at the venue, true across clock changes."""

from datetime import datetime, timedelta
from math import ceil, floor


def minute_from(zero: datetime, moment: datetime) -> int:
    """The first whole minute not before ``moment``."""
    return ceil((moment - zero).total_seconds() / 60)


def minute_to(zero: datetime, moment: datetime) -> int:
    """The last whole minute not after ``moment``."""
    return floor((moment - zero).total_seconds() / 60)


def moment_of(zero: datetime, minute: int) -> datetime:
    return zero + timedelta(minutes=minute)
