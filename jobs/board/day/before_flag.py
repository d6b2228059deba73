"""The board in the minute before the flag: who begins at which bike when a group is in."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.translation import ngettext

from jobs.worklist.day import Day
from jobs.worklist.pit_in import Arrival, Share

from ..pit_in_calls import work_word

# The board is turned by the clock, on a tablet without network too: it holds the next few.
BEFORE, AHEAD = timedelta(minutes=1), timedelta(minutes=60)


@dataclass(frozen=True)
class BikeToTake:
    entry_id: int
    number: str
    letter: str
    bay: str
    words: list[str]


@dataclass(frozen=True)
class PersonBegins:
    name: str
    bikes: list[BikeToTake]


@dataclass(frozen=True)
class BeforeFlag:
    """What the board shows from ``since`` to ``until`` instead of the rest of it."""

    session_id: int
    name: str
    since: datetime
    end: datetime
    until: datetime
    over: bool
    fades: str
    people: list[PersonBegins]


def before_flags(day: Day, found: Sequence[Arrival]) -> list[BeforeFlag]:
    """One for each group that comes in within the hour and does not stand yet."""
    return [
        _before_flag(arrival)
        for arrival in found
        if day.at < arrival.stop and arrival.times.end - day.at < AHEAD
    ]


def _before_flag(arrival: Arrival) -> BeforeFlag:
    minutes = round((arrival.fades - arrival.stop).total_seconds() / 60)
    fades = ngettext(
        "Hot reads count for %(n)d minute. Each of you begins here:",
        "Hot reads count for %(n)d minutes. Each of you begins here:",
        minutes,
    ) % {"n": minutes}
    return BeforeFlag(
        session_id=arrival.times.session.pk,
        name=str(arrival.times.session),
        since=arrival.times.end - BEFORE,
        end=arrival.times.end,
        until=arrival.stop,
        over=arrival.times.over,
        fades=fades,
        people=[_person(share) for share in arrival.shares],
    )


def _person(share: Share) -> PersonBegins:
    bikes = [
        BikeToTake(
            entry_id=one.bike.entry.pk,
            number=one.bike.entry.number or "–",
            letter=one.bike.entry.group.letter,
            bay=one.bike.entry.bay,
            words=list(dict.fromkeys(work_word(task) for task in one.tasks)),
        )
        for one in share.bikes
    ]
    return PersonBegins(share.person.display_name, bikes)
