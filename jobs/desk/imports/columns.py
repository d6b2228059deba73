"""The columns of the two files, as documented to people, and how a cell is read."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal, InvalidOperation

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy


class UnreadableError(Exception):
    """A cell that cannot be meant; its text says why."""


@dataclass(frozen=True)
class Column:
    name: str
    help: str | Promise
    required: bool = False
    example: str = ""


def short(limit: int) -> Callable[[str], str]:
    """Text of at most ``limit`` characters, inner white space made single."""

    def read(cell: str) -> str:
        value = " ".join(cell.split())
        if len(value) > limit:
            raise UnreadableError(
                _("“%(value)s” has %(n)d characters; at most %(most)d fit.")
                % {"value": value[:30] + "…", "n": len(value), "most": limit}
            )
        return value

    return read


def email(cell: str) -> str:
    value = cell.strip().lower()
    if not value:
        return ""
    try:
        validate_email(value)
    except ValidationError:
        raise UnreadableError(
            _("“%(value)s” is not an e-mail address.") % {"value": value}
        ) from None
    return value


def year(cell: str) -> int | None:
    if not cell:
        return None
    if not re.fullmatch(r"(19|20)\d\d", cell):
        raise UnreadableError(_("“%(value)s” is not a year such as 2021.") % {"value": cell})
    return int(cell)


def frame_end(cell: str) -> str:
    """The last four of a frame number, from those four or from the whole of it."""
    value = re.sub(r"[\s.-]", "", cell).upper()
    if value and not re.fullmatch(r"[A-Z0-9]{4,}", value):
        raise UnreadableError(
            _("“%(value)s” is not a frame number or its last four characters.") % {"value": cell}
        )
    return value[-4:]


def weight(cell: str) -> Decimal | None:
    """Kilograms, with a point or a comma."""
    if not cell:
        return None
    try:
        value = Decimal(re.sub(r"\s*kg$", "", cell, flags=re.IGNORECASE).replace(",", "."))
    except InvalidOperation:
        raise UnreadableError(_("“%(value)s” is not a weight in kg.") % {"value": cell}) from None
    if not Decimal(30) <= value <= Decimal(250):
        raise UnreadableError(
            _("%(value)s kg is not a rider's weight in kit (30 to 250 kg).") % {"value": value}
        )
    return value.quantize(Decimal("0.1"))


def country(cell: str) -> str:
    value = cell.strip().upper()
    if value and not re.fullmatch(r"[A-Z]{2}", value):
        raise UnreadableError(
            _("“%(value)s” is not a country's two-letter code.") % {"value": cell}
        )
    return value


def whole(cell: str) -> int | None:
    if not cell:
        return None
    if not re.fullmatch(r"\d{1,3}", cell) or int(cell) == 0:
        raise UnreadableError(_("“%(value)s” is not a session's number.") % {"value": cell})
    return int(cell)


CLOCK = re.compile(r"(\d{1,2})(?:[:.h]?(\d{2}))?(?:[:.]00)?\s*(am|pm)?", re.IGNORECASE)


def clock_time(cell: str) -> time | None:
    """A time of day: 9:05, 09.05, 0905, 9h05, 2:05 pm."""
    if not cell:
        return None
    match = CLOCK.fullmatch(cell.strip())
    if match:
        hour, minute, half = int(match[1]), int(match[2] or 0), (match[3] or "").lower()
        bare_hour = match[2] is None and not half
        if half and 1 <= hour <= 12:
            hour = hour % 12 + (12 if half == "pm" else 0)
        if hour < 24 and minute < 60 and not bare_hour:
            return time(hour, minute)
    raise UnreadableError(_("“%(value)s” is not a time such as 09:20.") % {"value": cell})


def calendar_date(cell: str) -> date | None:
    """A date as ISO 8601 writes it, or day first with points."""
    if not cell:
        return None
    match = re.fullmatch(r"(\d{4})-(\d{1,2})-(\d{1,2})", cell)
    parts = match.groups() if match else ()
    if not parts and (dotted := re.fullmatch(r"(\d{1,2})\.(\d{1,2})\.(\d{4})", cell)):
        parts = dotted.groups()[::-1]
    try:
        return date(*(int(part) for part in parts))
    except (TypeError, ValueError):
        raise UnreadableError(
            _("“%(value)s” is not a date such as 2026-05-31.") % {"value": cell}
        ) from None


ENTRY_COLUMNS = (
    Column("group", gettext_lazy("run group, as in the timetable"), True, "B"),
    Column("name", gettext_lazy("the rider's name"), True, "M. Quill"),
    Column("number", gettext_lazy("start number as on the plate; may repeat"), False, "214"),
    Column("make", gettext_lazy("the bike's make"), True, "Corvane"),
    Column("model", gettext_lazy("the bike's model"), True, "650 R"),
    Column("year", gettext_lazy("the model's year"), False, "2021"),
    Column("colour", gettext_lazy("what tells it from its neighbour"), False, "blue"),
    Column("frame", gettext_lazy("frame number or its last four characters"), False, "7K42"),
    Column("package", gettext_lazy("service package, by code or name"), False, "day-support"),
    Column("bay", gettext_lazy("where it stands in the paddock"), False, "6"),
    Column("complaint", gettext_lazy("what the rider booked for"), False, "runs wide"),
    Column("weight_kg", gettext_lazy("rider in kit, in kg"), False, "82,5"),
    Column("aim", gettext_lazy("what the rider wants from the day"), False, ""),
    Column("email", gettext_lazy("the owner's e-mail; the customer's key"), False, ""),
    Column("phone", gettext_lazy("for the call on the day"), False, ""),
    Column("owner", gettext_lazy("the bike's owner, if not the rider"), False, ""),
    Column("payer", gettext_lazy("who pays, if not the owner"), False, ""),
    Column("payer_email", gettext_lazy("the payer's e-mail"), False, ""),
    Column("street", gettext_lazy("the owner's address, for the invoice"), False, ""),
    Column("postcode", "", False, ""),
    Column("city", "", False, ""),
    Column("country", gettext_lazy("two-letter code"), False, "IE"),
    Column("note", gettext_lazy("anything else about this entry"), False, ""),
    Column("ref", gettext_lazy("the organiser's own reference: the best key"), False, ""),
)

TIMETABLE_COLUMNS = (
    Column(
        "group", gettext_lazy("run group; or “lunch”; or “close” for the track's end"), True, "A"
    ),
    Column("session", gettext_lazy("1 for the group's first; left out: by time"), False, "1"),
    Column("start", gettext_lazy("venue time"), True, "09:00"),
    Column("end", gettext_lazy("venue time; not needed for “close”"), False, "09:20"),
    Column("date", gettext_lazy("must be the trackday's own"), False, "2026-05-31"),
)
