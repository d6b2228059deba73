"""What a person says about where a bike is."""

import uuid
from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from jobs.people.models import User

from ..enums import Move, SessionState
from ..models import BikeMove, Entry, Session
from ..selectors import entry_whereabouts
from ..where import Outing, Whereabouts

# "Bike out" up to this long before a session belongs to that session.
EARLIEST_OUT = timedelta(minutes=15)


def move_record(
    *,
    move_id: uuid.UUID,
    entry: Entry,
    move: Move,
    by: User,
    at: datetime,
    session: Session | None = None,
) -> BikeMove:
    """Record what a person said; its outing is found from the time, unless ``session`` is given."""
    where = entry_whereabouts(entry, at)
    if session is None:
        session = _session_of_move(where, move, at)
    if move == Move.DID_NOT_GO_OUT and session is None:
        raise ValidationError(_("No session has started that this bike could have missed."))
    return BikeMove.objects.create(
        id=move_id, entry=entry, move=move, session=session, at=at, by=by
    )


def move_withdraw(*, move: BikeMove, at: datetime) -> None:
    """Take back what was said; a second time changes nothing."""
    if move.withdrawn_at is None:
        move.withdrawn_at = at
        move.save(update_fields=["withdrawn_at"])


def _session_of_move(where: Whereabouts, move: Move, at: datetime) -> Session | None:
    outing: Outing | None = None
    if move == Move.BIKE_IN:
        outing = where.last
    elif move == Move.BIKE_OUT:
        outing = _running(where) or _about_to_start(where, at)
    elif move == Move.DID_NOT_GO_OUT:
        outing = _running(where) or _last_started(where)
    return outing.times.session if outing else None


def _running(where: Whereabouts) -> Outing | None:
    return next((o for o in where.outings if o.times.state == SessionState.RUNNING), None)


def _about_to_start(where: Whereabouts, at: datetime) -> Outing | None:
    coming = where.coming
    return coming if coming and coming.times.start - at <= EARLIEST_OUT else None


def _last_started(where: Whereabouts) -> Outing | None:
    return next((o for o in reversed(where.outings) if o.times.over), None)
