"""Sessions cut short or cancelled, in which changes were to be tried out and were not."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from jobs.trackday.clock import SessionTimes
from jobs.trackday.enums import SessionState

from .bikes import BikeDay
from .day import Day

STATES = (SessionState.CUT_SHORT, SessionState.CANCELLED)


@dataclass(frozen=True)
class UntestedSession:
    """One such session; ``waiting``: by entry, since when its expectations are to be judged."""

    times: SessionTimes
    waiting: dict[int, list[datetime]]

    @property
    def count(self) -> int:
        return sum(len(moments) for moments in self.waiting.values())


def untested_sessions(day: Day) -> Iterator[UntestedSession]:
    """What a person may judge “not tested” together; bikes that were out since are left out."""
    for times in day.times:
        if times.state in STATES:
            waiting = {bike.entry.pk: _waiting(bike, times) for bike in day.bikes}
            found = UntestedSession(
                times, {pk: moments for pk, moments in waiting.items() if moments}
            )
            if found.waiting:
                yield found


def _waiting(bike: BikeDay, times: SessionTimes) -> list[datetime]:
    last = bike.where.last
    if times.runs:
        if last is None or last.times.session.pk != times.session.pk:
            return []
        start = last.out_at
    elif bike.entry.group_id == times.session.group_id:
        start = times.start
        if last is not None and last.out_at >= start:
            return []
    else:
        return []
    return [moment for moment in bike.to_judge_since if moment < start]
