"""When a bike last stopped, which outing it was, and how warm its oil is by then.

Where the bike is comes from the day (trackday.where); how long oil stays hot, from
``jobs.tuning.cooling``.
"""

import uuid
from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from jobs.garage.enums import OilState
from jobs.people.models import User
from jobs.trackday.models import Entry, Session
from jobs.trackday.selectors import entry_whereabouts
from jobs.trackday.where import Whereabouts
from jobs.tuning.cooling import COLD_MINUTES, HOT_MINUTES

from .origin import RowOrigin


def check_oil_reason(*, derived: str, said: str, because: str) -> None:
    """Refuse an oil state that overrules the derived one and does not say why."""
    if not because.strip():
        raise ValidationError(
            _("By the stop the oil is %(derived)s. Say why it is %(said)s.")
            % {"derived": OilState(derived).label, "said": OilState(said).label}
        )


@dataclass(frozen=True)
class Stop:
    """The last outing and when the bike stood again after it; ``at`` is None while it is out.

    ``outings``: how many it has made today, with this one.
    """

    session: Session
    at: datetime | None
    outings: int = 1

    def minutes(self, now: datetime) -> float | None:
        return None if self.at is None else (now - self.at).total_seconds() / 60


def last_stop(where: Whereabouts, at: datetime) -> Stop | None:
    """The last outing of a bike by ``at``; None when it has not been out."""
    if where.last is None:
        return None
    stood = where.last.stop
    made = sum(1 for outing in where.outings if outing.went)
    return Stop(where.last.times.session, stood if stood <= at else None, made)


def entry_last_stop(entry: Entry, at: datetime) -> Stop | None:
    """The same, read from the database: four queries."""
    return last_stop(entry_whereabouts(entry, at), at)


def origin_at_stop(
    *, row_id: uuid.UUID, by: User, done_at: datetime, entry: Entry | None
) -> RowOrigin:
    """Who, when and where, with the outing and the minutes since the stop worked out."""
    stop = entry_last_stop(entry, done_at) if entry else None
    return RowOrigin(
        id=row_id,
        by=by,
        done_at=done_at,
        entry=entry,
        session=stop.session if stop else None,
        minutes_since_stop=stop.minutes(done_at) if stop else None,
    )


def oil_state(minutes_since_stop: float | None) -> OilState:
    """How warm the oil is; None: the bike has not been out, or is out now."""
    if minutes_since_stop is None or minutes_since_stop > COLD_MINUTES:
        return OilState.COLD
    return OilState.HOT if minutes_since_stop <= HOT_MINUTES else OilState.WARM
