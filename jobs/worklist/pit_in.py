"""The minutes after a group comes in: who of the crew takes which bikes, and in which order.

Only what fades is done then: readings that must start within minutes of the stop, and the
rider's words. The plan says who does it; a bike the plan has nobody for goes to whoever has the
fewest, so that every bike of the group is somebody's. Bikes stand in the order they stop, then
by their place in the paddock. Pure: of the day as read.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from jobs.people.models import User
from jobs.trackday.clock import SessionTimes
from jobs.trackday.enums import BikePlace
from jobs.trackday.where import Outing

from .bikes import BikeDay
from .day import Day
from .derive import OVER, Task
from .enums import Anchor, Cadence, ItemKind
from .planned.stored import Slots
from .rounds import can_do

NOT_HERE = (BikePlace.NOT_ARRIVED, BikePlace.GONE_HOME)


@dataclass(frozen=True)
class BikeIn:
    """One bike of a group that comes in, with the work on it that fades.

    ``stop``: when it stands in the paddock (UTC), as expected until it is past.
    """

    bike: BikeDay
    stop: datetime
    tasks: Sequence[Task]


@dataclass(frozen=True)
class Share:
    """What one person does when a group comes in, bike by bike."""

    person: User
    bikes: Sequence[BikeIn]


@dataclass(frozen=True)
class Arrival:
    """One session, and what is to be done when its bikes are in. ``bikes``: how many come in.

    ``stop``: when the first of them stands; ``fades``: when readings are no longer hot;
    ``until``: when nothing of it is to be begun any more except words. All in UTC.
    """

    times: SessionTimes
    stop: datetime
    fades: datetime
    until: datetime
    bikes: int
    shares: Sequence[Share]

    def share_of(self, person: User) -> Share | None:
        return next((share for share in self.shares if share.person.pk == person.pk), None)


def is_fading(task: Task) -> bool:
    """Whether it must be begun soon after the stop: hot reads, a push, the rider's words."""
    item = task.item
    if item.cadence != Cadence.EVERY or item.opens_from != Anchor.STOP:
        return False
    return item.kind == ItemKind.WORDS or (item.kind == ItemKind.READING and item.must_start)


def arrivals(day: Day, slots: Slots) -> list[Arrival]:
    """Every group still to come in, and those in whose work still fades, the next one first."""
    found = []
    for times in day.times:
        bikes = sorted(_coming_in(day, times), key=_walk) if times.runs else []
        must = [task for one in bikes for task in one.tasks if task.item.must_start]
        if not must or max(task.closes for task in must) <= day.at:
            continue
        found.append(
            Arrival(
                times=times,
                stop=min(one.stop for one in bikes),
                fades=min(task.closes for task in must),
                until=max(task.closes for task in must),
                bikes=len(bikes),
                shares=_shares(day, bikes, slots),
            )
        )
    return sorted(found, key=lambda arrival: arrival.stop)


def _coming_in(day: Day, times: SessionTimes) -> Iterator[BikeIn]:
    """The bikes that are out in a session, or will be by what is known now."""
    for bike in day.bikes:
        outing = _outing(bike, times)
        if outing is None:
            continue
        tasks = [
            task
            for task in bike.tasks
            if task.session_id == times.session.pk and task.state not in OVER and is_fading(task)
        ]
        if tasks:
            yield BikeIn(bike, outing.stop, tasks)


def _outing(bike: BikeDay, times: SessionTimes) -> Outing | None:
    if bike.where.place in NOT_HERE:
        return None
    for outing in bike.where.outings:
        if outing.times.session.pk == times.session.pk:
            stays = outing.went is None and bool(bike.holds)
            return None if outing.went is False or stays else outing
    return None


def _walk(one: BikeIn) -> tuple[datetime, tuple[bool, list[tuple[int, str]]], str]:
    """As they stop, then place by place: bay 2 before bay 10, no place named last."""
    entry = one.bike.entry
    return one.stop, (not entry.bay, _natural(entry.bay)), entry.number.rjust(8, "0")


def _natural(text: str) -> list[tuple[int, str]]:
    parts = re.split(r"(\d+)", text.casefold())
    return [(int(part), "") if part.isdigit() else (-1, part) for part in parts if part]


def _shares(day: Day, bikes: Sequence[BikeIn], slots: Slots) -> list[Share]:
    here = _here_at(day, bikes[0].stop)
    mine: dict[int, dict[int, list[Task]]] = {person.pk: {} for person in here}
    left: list[tuple[BikeIn, Task]] = []
    for one in bikes:
        for task in one.tasks:
            people = [p for p in _people(task, slots) if p in mine]
            for person in people:
                mine[person].setdefault(one.bike.entry.pk, []).append(task)
            if not people:
                left.append((one, task))
    for one, task in left:
        taker = _fewest(here, mine, one, task)
        if taker is not None:
            mine[taker.pk].setdefault(one.bike.entry.pk, []).append(task)
    return [Share(person, _in_order(bikes, mine[person.pk])) for person in here]


def _people(task: Task, slots: Slots) -> tuple[int, ...]:
    if task.started_by is not None:
        return (task.started_by,)
    return slots[task.id].people if task.id in slots else ()


def _fewest(
    here: Sequence[User], mine: dict[int, dict[int, list[Task]]], one: BikeIn, task: Task
) -> User | None:
    """Who is at that bike anyway, else who has the fewest; a helper before a tuner."""
    able = [person for person in here if can_do(person, task)]
    entry = one.bike.entry.pk
    return min(
        able,
        key=lambda p: (entry not in mine[p.pk], len(mine[p.pk]), p.is_tuner),
        default=None,
    )


def _in_order(bikes: Iterable[BikeIn], mine: dict[int, list[Task]]) -> list[BikeIn]:
    """One person's bikes as they are walked, each with its tasks as the checklist has them."""
    return [
        BikeIn(one.bike, one.stop, [t for t in one.tasks if t in mine[one.bike.entry.pk]])
        for one in bikes
        if one.bike.entry.pk in mine
    ]


def _here_at(day: Day, moment: datetime) -> list[User]:
    """Who of the crew works at that moment; everybody of the crew if nobody is said to."""
    found = [
        member.user
        for member in day.crew
        if (member.joins_at is None or member.joins_at <= moment)
        and (member.leaves_at is None or moment < member.leaves_at)
        and not (
            member.lunch_from and member.lunch_to and member.lunch_from <= moment < member.lunch_to
        )
    ]
    return found or [member.user for member in day.crew]
