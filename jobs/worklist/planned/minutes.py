"""Moments as elapsed minutes since local midnight at the venue, true across clock changes."""

from datetime import UTC, datetime, time, timedelta
from math import ceil, floor
from zoneinfo import ZoneInfo

from jobs.trackday.models import Trackday


def midnight(trackday: Trackday) -> datetime:
    """Local midnight of the day, in UTC."""
    zone = ZoneInfo(trackday.venue.timezone)
    return datetime.combine(trackday.date, time(), zone).astimezone(UTC)


def minute_from(zero: datetime, moment: datetime) -> int:
    """The first whole minute not before ``moment``."""
    return ceil((moment - zero).total_seconds() / 60)


def minute_to(zero: datetime, moment: datetime) -> int:
    """The last whole minute not after ``moment``."""
    return floor((moment - zero).total_seconds() / 60)


def moment_of(zero: datetime, minute: int) -> datetime:
    return zero + timedelta(minutes=minute)
