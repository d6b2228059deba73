"""The planning problem and its plan, as frozen values.

Minutes are integers elapsed since local midnight at the venue. A window is a pair
``(from, to)``: the earliest start and the latest end. No windows means any time.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum

Id = str | int
Window = tuple[int, int]


class ProblemError(ValueError):
    """The problem cannot be planned; the message names the task or person at fault."""


@dataclass(frozen=True, slots=True)
class CrewMember:
    """One person: the skills they have, and the times at which they are away.

    ``name``: as of a ``PlanningTask``.
    """

    id: Id
    skills: frozenset[str]
    off: tuple[Window, ...] = ()
    name: str = ""

    @property
    def order(self) -> tuple[str, str]:
        return self.name or str(self.id), str(self.id)


@dataclass(frozen=True, slots=True)
class PlanningTask:
    """One piece of work on one bike.

    ``after``: tasks that must have ended first, unless they are missed. ``requires``: tasks
    that must be done and have ended first. ``place``: the bay, for a short walk.
    ``late_cost_per_min`` counts from ``due`` to the end of the task. ``first``: a plan that
    misses fewer of these tasks is better, whatever it costs. ``name``: where ids differ from one
    database to another, a name that does not: it decides between tasks that are alike.
    """

    id: Id
    bike: Id
    minutes: int
    skill: str
    kind: str = ""
    people: int = 1
    windows: tuple[Window, ...] = ()
    due: int | None = None
    miss_cost: int = 1
    late_cost_per_min: int = 0
    after: tuple[Id, ...] = ()
    requires: tuple[Id, ...] = ()
    place: int | None = None
    first: bool = False
    name: str = ""

    @property
    def order(self) -> tuple[str, str]:
        """By this tasks are sorted: by their names, without one by their ids."""
        return self.name or str(self.id), str(self.id)

    def late_cost(self, start: int) -> int:
        """The cost of lateness if the task starts at ``start``."""
        if self.due is None:
            return 0
        return self.late_cost_per_min * max(0, start + self.minutes - self.due)


@dataclass(frozen=True, slots=True)
class PlanningDay:
    """The crew and the tasks: what is to be planned."""

    crew: tuple[CrewMember, ...]
    tasks: tuple[PlanningTask, ...]


@dataclass(frozen=True, slots=True)
class Assignment:
    """One task: the minute at which it starts, and the people who do it."""

    task: Id
    start: int
    crew: tuple[Id, ...]


class Cause(StrEnum):
    """Why a task could not start in a minute of its window."""

    PAST = "past"
    BIKE = "bike"
    PRECEDENCE = "precedence"
    TUNER = "tuner"
    HELPER = "helper"
    TWO_AT_ONCE = "two at once"
    ON_TRACK = "on track"
    CHOICE = "choice"


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a task is missed or late.

    ``blocked``: the causes, each with the number of starts it made impossible, the largest
    number first. ``done_instead``: the tasks that the people did in that time, the least
    costly first. ``busy_with``: the kinds of those tasks. ``busy_until``: the minute in which
    the last of them ends. ``leaves``: the minute in which the window closes. ``waits_for``:
    the task that had to come first.
    """

    blocked: tuple[tuple[Cause, int], ...] = ()
    done_instead: tuple[Id, ...] = ()
    busy_with: tuple[str, ...] = ()
    busy_until: int | None = None
    leaves: int | None = None
    waits_for: Id | None = None

    @property
    def cause(self) -> Cause:
        return self.blocked[0][0] if self.blocked else Cause.CHOICE


@dataclass(frozen=True, slots=True)
class MissedTask:
    task: Id
    reason: Reason = field(default_factory=Reason)


@dataclass(frozen=True, slots=True)
class LateTask:
    task: Id
    minutes: int
    reason: Reason = field(default_factory=Reason)


class StoppedBy(StrEnum):
    """What ended the search. Only ITERATIONS and OPTIMAL give the same plan every time."""

    ITERATIONS = "iterations"
    SECONDS = "seconds"
    OPTIMAL = "optimal"


@dataclass(frozen=True, slots=True)
class Plan:
    """What is done when and by whom, and what is missed or late, with the reason.

    ``first_missed``: the number of ``first`` tasks that are missed.
    """

    assignments: tuple[Assignment, ...]
    missed: tuple[MissedTask, ...]
    late: tuple[LateTask, ...]
    cost: int
    seed: int
    iterations: int
    stopped_by: StoppedBy
    input_hash: str
    first_missed: int = 0

    @property
    def rank(self) -> tuple[int, int]:
        """The lower, the better: first the ``first`` tasks missed, then the cost."""
        return self.first_missed, self.cost

    def rounds(self) -> dict[Id, list[Assignment]]:
        """Each person's tasks in the order they are done."""
        rounds: dict[Id, list[Assignment]] = {}
        for assignment in sorted(self.assignments, key=lambda a: (a.start, str(a.task))):
            for person in assignment.crew:
                rounds.setdefault(person, []).append(assignment)
        return rounds


def plan_cost(day: PlanningDay, assignments: Iterable[Assignment]) -> int:
    """The cost of a set of assignments: what is missed and what is late."""
    starts = {a.task: a.start for a in assignments}
    return sum(
        task.late_cost(starts[task.id]) if task.id in starts else task.miss_cost
        for task in day.tasks
    )
