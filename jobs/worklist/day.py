"""A whole day at one moment, as one read: board, round, print and plan are made of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from jobs.people.models import User
from jobs.trackday.clock import DayTimes, SessionTimes
from jobs.trackday.models import Conditions, CrewDay, RunGroup, Trackday

from .bikes import BikeDay
from .models import PlanWish


@dataclass(frozen=True)
class Day:
    """One trackday at one moment (``at``, UTC). Rows are read, everything else derived."""

    trackday: Trackday
    at: datetime
    groups: Sequence[RunGroup]
    expected: DayTimes
    bikes: Sequence[BikeDay]
    conditions: Sequence[Conditions]
    crew: Sequence[CrewDay]
    wishes: Sequence[PlanWish] = ()

    @property
    def times(self) -> Sequence[SessionTimes]:
        """Every session in the order it is expected."""
        return self.expected.sessions

    @cached_property
    def by_entry(self) -> dict[int, BikeDay]:
        return {bike.entry.pk: bike for bike in self.bikes}

    @property
    def crew_here(self) -> list[User]:
        """Who is here at this moment."""
        return [
            member.user
            for member in self.crew
            if (member.joins_at is None or member.joins_at <= self.at)
            and (member.leaves_at is None or self.at < member.leaves_at)
        ]

    def lunch_until(self, user_id: int) -> datetime | None:
        """The end of the lunch a crew member is at now."""
        for member in self.crew:
            if member.user_id == user_id and member.lunch_from and member.lunch_to:
                return member.lunch_to if member.lunch_from <= self.at < member.lunch_to else None
        return None

    @property
    def sessions_left(self) -> bool:
        """Whether a session runs or is still to come."""
        return any(not times.over for times in self.times)

    @property
    def conditions_now(self) -> Conditions | None:
        return self.conditions[-1] if self.conditions else None

    def conditions_at(self, moment: datetime) -> Conditions | None:
        """What an outing that began then inherits: the last entered before it."""
        return next((row for row in reversed(self.conditions) if row.at <= moment), None)

    @property
    def late_minutes(self) -> int:
        """How late the next session is against the timetable (negative: early)."""
        ahead = self.expected.ahead
        return ahead[0].late_minutes if ahead else 0
