"""How a cell of a list is read."""

import re
from collections.abc import Callable
from datetime import date, time
from decimal import Decimal, InvalidOperation

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.utils.translation import gettext as _

from jobs.people.countries import country_code
from jobs.tuning.terms import RiderPace

# The languages whose headings and countries' names are known in lists.
LIST_LANGUAGES = ("en", "de", "fr", "it", "es", "nl")


class UnreadableError(Exception):
    """A cell that cannot be meant; its text says why."""


class NoPackageError(UnreadableError):
    """A row that names no service package, where none is chosen for such rows."""


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
    """The two-letter code, from the code or the country's name in a language lists come in."""
    known_as = {"uk": "GB"}.get(cell.strip().lower(), cell)
    code = country_code(known_as, *LIST_LANGUAGES) if cell.strip() else ""
    if cell.strip() and not code:
        raise UnreadableError(
            _("“%(value)s” is not a country's name or two-letter code.") % {"value": cell}
        )
    return code


GROUP_WORDS = re.compile(
    r"(?:run\s*)?(?:gruppe|groupe|gruppo|grupo|groep|group)\b[\s:]*", re.IGNORECASE
)


def group(cell: str) -> str:
    """A run group by letter or name: “Gruppe B” is B."""
    value = short(60)(cell)
    return GROUP_WORDS.sub("", value).strip() or value


def timetable_group(cell: str) -> str:
    """A run group, or a word for what is none: “Mittagspause” is lunch."""
    value = group(cell)
    return NO_GROUP.get(value.casefold(), value)


NO_GROUP = {
    **dict.fromkeys(
        ("lunch", "lunch break", "mittag", "mittagspause", "pause", "pause dejeuner",
         "pause déjeuner", "dejeuner", "déjeuner", "pranzo", "pausa pranzo", "pausa", "comida",
         "almuerzo", "lunchpauze", "pauze"), "lunch",
    ),
    **dict.fromkeys(
        ("close", "track closes", "end of day", "streckenschluss", "ende", "fermeture",
         "fin de piste", "chiusura", "chiusura pista", "cierre", "einde"), "close",
    ),
}  # fmt: skip


def start_number(cell: str) -> str:
    return short(8)(cell.strip().lstrip("#").strip())


def whole(cell: str) -> int | None:
    if not cell:
        return None
    if not re.fullmatch(r"\d{1,3}", cell) or int(cell) == 0:
        raise UnreadableError(_("“%(value)s” is not a session's number.") % {"value": cell})
    return int(cell)


def pace(cell: str) -> str:
    """How fast a run group rides, in the words of organisers; empty: not said."""
    if not cell:
        return ""
    said = PACES.get(cell.casefold())
    if said is None:
        raise UnreadableError(
            _("“%(value)s” is no pace: novice, middle or quick.") % {"value": cell}
        )
    return said


# As organisers name the groups of a day (common practice, no source).
PACES: dict[str, str] = {
    **dict.fromkeys(
        ("novice", "novices", "beginner", "beginners", "slow", "anfänger", "einsteiger",
         "débutant", "débutants", "debutant", "principiante", "principianti", "principiantes",
         "nieuweling"), RiderPace.NOVICE,
    ),
    **dict.fromkeys(
        ("middle", "intermediate", "medium", "mittel", "fortgeschritten", "fortgeschrittene",
         "moyen", "intermédiaire", "intermediaire", "medio", "intermedio", "gemiddeld"),
        RiderPace.MIDDLE,
    ),
    **dict.fromkeys(
        ("quick", "fast", "advanced", "expert", "experts", "schnell", "sportfahrer", "rapide",
         "confirmé", "veloce", "esperti", "rápido", "rapido", "avanzado", "snel"),
        RiderPace.QUICK,
    ),
}  # fmt: skip

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
