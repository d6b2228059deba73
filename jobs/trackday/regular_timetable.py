"""A timetable in turns: the run groups one after another, all day, with lunch between."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from .models import Trackday
from .office import lunch_and_close_plan, session_enter

LETTERS = "ABCDEF"
MOST_SESSIONS = 96  # a day of 24 hours in quarters of an hour


@dataclass(frozen=True)
class Turn:
    letter: str
    start: datetime
    end: datetime


def turns(
    *,
    groups: int,
    start: datetime,
    close: datetime,
    minutes: int,
    lunch: tuple[datetime, datetime] | None,
) -> Iterator[Turn]:
    """Sessions of ``minutes`` back to back, A, B, C, A ...; none over lunch or past ``close``."""
    at, number, length = start, 0, timedelta(minutes=minutes)
    while at + length <= close and number < MOST_SESSIONS:
        if lunch is not None and at < lunch[1] and at + length > lunch[0]:
            at = lunch[1]
            continue
        yield Turn(LETTERS[number % groups], at, at + length)
        at, number = at + length, number + 1


@transaction.atomic
def timetable_make(
    *,
    trackday: Trackday,
    groups: int,
    start: datetime,
    close: datetime,
    minutes: int,
    lunch: tuple[datetime, datetime] | None,
) -> int:
    """Give a day without sessions a regular timetable. Returns how many sessions it has.

    Raises ValidationError where there are sessions already, or none would fit.
    """
    if trackday.sessions.exists():
        raise ValidationError(
            _("This day has a timetable already: change its sessions one by one.")
        )
    made = list(turns(groups=groups, start=start, close=close, minutes=minutes, lunch=lunch))
    if len(made) < groups:
        raise ValidationError(_("So few minutes are not enough for one session of every group."))
    for turn in made:
        session_enter(
            trackday=trackday, letter=turn.letter, planned_start=turn.start, planned_end=turn.end
        )
    lunch_and_close_plan(trackday=trackday, lunch=lunch, closes_at=close)
    return len(made)
