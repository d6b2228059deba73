"""How long work took, from the marks people made: started, done, skipped.

People mark with gloves on and in a hurry, so many marks say nothing about the work. A time is
taken only where the start and the end are marked and nothing speaks against it; everything else
is counted with the reason it was left out (our judgement, no source).
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from .model import Id

STARTED, DONE = "started", "done"  # any other mark ends the work without a time
SAME_MOMENT = 1.0  # minutes: start and end tapped in one go
MANY_AT_ONCE = 3  # tasks ended by one person within SAME_MOMENT
MOST_TIMES = 5.0  # longer or shorter than planned by more than this factor: forgotten
CLOCK_AHEAD = 2.0  # minutes that a device's time may be later than the server's
TWO_PEOPLE = "two people"  # whose work together is learned as that of a person of its own


@dataclass(frozen=True, slots=True)
class WorkMark:
    """One mark on one task. Minutes are counted from any one moment.

    ``at`` is the device's time, ``received`` the server's. ``planned``: minutes as planned.
    """

    task: Id
    bike: Id
    kind: str
    person: Id
    mark: str
    at: float
    received: float
    planned: float
    people: int = 1


@dataclass(frozen=True, slots=True)
class WorkTime:
    """How long one person, or two together, took for one task of a kind."""

    kind: str
    person: Id
    planned: float
    minutes: float


class NotTimed(StrEnum):
    """Why the marks of a task are no measurement."""

    NO_START = "no start"
    NOT_DONE = "not done"
    SAME_MOMENT = "start and end in one go"
    MANY_AT_ONCE = "many ended at once"
    FORGOTTEN = "far too long or too short"
    ROLLED = "the bike rolled in between"
    OTHER_WORK = "other work in between"
    CLOCK = "clock of the device"


def work_times(
    marks: Iterable[WorkMark], rolls: Mapping[Id, Sequence[float]]
) -> tuple[list[WorkTime], Counter[NotTimed]]:
    """The times that can be taken, and how many tasks were left out, by reason.

    ``rolls``: by bike, the minutes in which it rolled.
    """
    of_task: defaultdict[Id, list[WorkMark]] = defaultdict(list)
    of_person: defaultdict[Id, list[WorkMark]] = defaultdict(list)
    for mark in sorted(marks, key=lambda mark: mark.at):
        of_task[mark.task].append(mark)
        of_person[mark.person].append(mark)
    found, left_out = [], Counter[NotTimed]()
    for each in of_task.values():
        taken = _taken(each, of_person, rolls)
        if isinstance(taken, NotTimed):
            left_out[taken] += 1
        else:
            found.append(taken)
    return found, left_out


def _taken(
    marks: list[WorkMark],
    of_person: Mapping[Id, list[WorkMark]],
    rolls: Mapping[Id, Sequence[float]],
) -> WorkTime | NotTimed:
    end = next((mark for mark in marks if mark.mark == DONE), None)
    if end is None:
        return NotTimed.NOT_DONE
    starts = [m for m in marks if m.mark == STARTED and m.person == end.person and m.at <= end.at]
    if not starts:
        return NotTimed.NO_START
    start = starts[-1]
    why = _why_not(start, end, of_person[end.person], rolls.get(end.bike, ()))
    if why is not None:
        return why
    person = TWO_PEOPLE if end.people > 1 else end.person
    return WorkTime(end.kind, person, end.planned, end.at - start.at)


def _why_not(
    start: WorkMark, end: WorkMark, own: list[WorkMark], rolls: Sequence[float]
) -> NotTimed | None:
    minutes = end.at - start.at
    ended_near = {
        mark.task for mark in own if mark.mark == DONE and abs(mark.at - end.at) < SAME_MOMENT
    }
    between = (m for m in own if m.task != end.task and start.at < m.at < end.at)
    reasons = {
        NotTimed.CLOCK: any(m.at > m.received + CLOCK_AHEAD for m in (start, end)),
        NotTimed.SAME_MOMENT: minutes < SAME_MOMENT,
        NotTimed.MANY_AT_ONCE: len(ended_near) >= MANY_AT_ONCE,
        NotTimed.FORGOTTEN: not 1 / MOST_TIMES <= minutes / end.planned <= MOST_TIMES,
        NotTimed.ROLLED: any(start.at < roll < end.at for roll in rolls),
        NotTimed.OTHER_WORK: any(between),
    }
    return next((why for why, holds in reasons.items() if holds), None)
