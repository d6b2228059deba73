"""Where each bike is, and its outings: by the timetable, unless a person has said otherwise.

A bike goes out with its group's session and stands again two minutes after the flag.
One that is held, not arrived, marked "did not go out" or gone home stays in the paddock
until a person taps bike out. Pure: rows in, frozen dataclasses out.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from .clock import SessionTimes
from .enums import BikePlace, Move, SessionState
from .models import BikeMove, Entry, GroupChange

STOP_AFTER_FLAG = timedelta(minutes=2)
# All work on arrival takes half an hour (the sum of the default checklist).
IN_TIME_BEFORE_ROLL = timedelta(minutes=30)

# From when to when a bike was held; None: still is.
Held = tuple[datetime, datetime | None]


@dataclass(frozen=True)
class Outing:
    """One entry's part in one session.

    ``went`` is None until the session starts. ``stop`` is when the bike stands in the
    paddock again (expected, until it is past).
    """

    times: SessionTimes
    went: bool | None
    out_at: datetime
    stop: datetime
    said: str = ""

    @property
    def ahead(self) -> bool:
        return self.went is None and self.times.runs


@dataclass(frozen=True)
class Whereabouts:
    """Where a bike is, since when, and between which two outings."""

    place: BikePlace
    outings: list[Outing]
    last: Outing | None
    coming: Outing | None
    arrived_at: datetime | None
    since: datetime | None
    held_but_out: bool = False

    @property
    def in_paddock(self) -> bool:
        return self.place in (BikePlace.IN, BikePlace.DID_NOT_GO_OUT)

    @property
    def came_late(self) -> bool:
        """It came when its first session was over, running, or less than half an hour ahead."""
        if self.arrived_at is None or not self.outings:
            return False
        return self.outings[0].times.start - self.arrived_at < IN_TIME_BEFORE_ROLL

    @property
    def stop(self) -> datetime | None:
        return self.last.stop if self.last else None

    @property
    def roll(self) -> datetime | None:
        return self.coming.times.start if self.coming else None


def group_at(entry: Entry, changes: Sequence[GroupChange], moment: datetime) -> int:
    """The id of the run group an entry belongs to at a moment; ``changes`` in time order."""
    standing = [change for change in changes if change.withdrawn_at is None]
    if not standing:
        return entry.group_id
    group_id = standing[0].from_group_id
    for change in standing:
        if change.at <= moment:
            group_id = change.to_group_id
    return group_id


def sessions_of_entry(
    entry: Entry, changes: Sequence[GroupChange], by_group: dict[int, list[SessionTimes]]
) -> list[SessionTimes]:
    """The sessions an entry takes part in, as expected; a group change divides the day."""
    if not changes:
        return by_group.get(entry.group_id, [])
    found = [
        times
        for group_id, sessions in by_group.items()
        for times in sessions
        if group_at(entry, changes, times.start) == group_id
    ]
    return sorted(found, key=lambda times: times.start)


def whereabouts(
    times: Sequence[SessionTimes],
    moves: Iterable[BikeMove],
    holds: Sequence[Held],
    at: datetime,
) -> Whereabouts:
    """Where a bike is at ``at``, of its sessions, what people said, and its holds."""
    said = sorted((m for m in moves if m.withdrawn_at is None and m.at <= at), key=lambda m: m.at)
    outings = [_outing(t, said, holds, at) for t in times if t.runs]
    last = next((o for o in reversed(outings) if o.went and o.out_at <= at), None)
    coming = next((o for o in outings if o.ahead), None)
    place, since = _place(said, outings, last, at)
    held_now = any(raised <= at and (until is None or at < until) for raised, until in holds)
    return Whereabouts(
        place=place,
        outings=outings,
        last=last,
        coming=None if place == BikePlace.GONE_HOME else coming,
        arrived_at=_arrived_at(said),
        since=since,
        held_but_out=held_now and place in (BikePlace.OUT, BikePlace.DUE_IN),
    )


def _outing(
    times: SessionTimes, said: Sequence[BikeMove], holds: Sequence[Held], at: datetime
) -> Outing:
    session_id = times.session.pk
    own = [m for m in said if m.session_id == session_id]
    word = next((m for m in reversed(own) if m.move in (Move.BIKE_OUT, Move.DID_NOT_GO_OUT)), None)
    if word is not None:
        went: bool | None = word.move == Move.BIKE_OUT
    elif at < times.start:
        went = None
    else:
        went = _goes(said, holds, times.start)
    out_at = word.at if word is not None and went else times.start
    back = next((m for m in own if m.move == Move.BIKE_IN and m.at >= out_at), None)
    stop = back.at if back else times.end + STOP_AFTER_FLAG
    return Outing(times, went, out_at, stop, word.move if word else "")


def _goes(said: Sequence[BikeMove], holds: Sequence[Held], start: datetime) -> bool:
    """Whether a bike goes out by itself when its session starts."""
    before = [m for m in said if m.at <= start]
    if not before or _went_home(before):
        return False
    return not any(raised <= start and (until is None or start < until) for raised, until in holds)


def _went_home(said: Sequence[BikeMove]) -> bool:
    return bool(said) and said[-1].move == Move.GONE_HOME


def _arrived_at(said: Sequence[BikeMove]) -> datetime | None:
    """Whatever is said of a bike first means that it has arrived."""
    return said[0].at if said else None


def _place(
    said: Sequence[BikeMove], outings: Sequence[Outing], last: Outing | None, at: datetime
) -> tuple[BikePlace, datetime | None]:
    if not said:
        return BikePlace.NOT_ARRIVED, None
    if _went_home(said):
        return BikePlace.GONE_HOME, said[-1].at
    tap = next((m for m in reversed(said) if m.move in (Move.BIKE_IN, Move.BIKE_OUT)), None)
    # A tap that belongs to no session overrules the timetable until the next session.
    if tap and tap.session_id is None and (last is None or tap.at >= last.out_at):
        return (BikePlace.OUT if tap.move == Move.BIKE_OUT else BikePlace.IN), tap.at
    if last is not None and at < last.stop:
        return (
            (BikePlace.OUT, last.out_at)
            if at < last.times.end
            else (BikePlace.DUE_IN, last.times.end)
        )
    running = next((o for o in outings if o.times.state == SessionState.RUNNING), None)
    if running and running.said == Move.DID_NOT_GO_OUT:
        return BikePlace.DID_NOT_GO_OUT, running.times.start
    return BikePlace.IN, last.stop if last else said[0].at
