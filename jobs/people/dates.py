"""What date it is: always somewhere. The server's own date, UTC's, is nobody's."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from .selectors import business_get


def date_in(timezone: str) -> date:
    """The date it really is now in a time zone (IANA name, such as Europe/Dublin)."""
    return datetime.now(ZoneInfo(timezone)).date()


def dates_now() -> tuple[date, date]:
    """The earliest and the latest date that it is anywhere now: UTC-12 to UTC+14."""
    now = datetime.now(UTC)
    return (now - timedelta(hours=12)).date(), (now + timedelta(hours=14)).date()


def business_today() -> date:
    """The business's own date: what its documents are dated by. One query."""
    return date_in(business_get().timezone)
