"""The planning problem and its answer, as frozen values.

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
    """One person: what they can do, and when they are away."""

    id: Id
    skills: frozenset[str]
    off: tuple[Window, ...] = ()


@dataclass(frozen=True, slots=True)
class Task:
    """One piece of work on one bike.

    ``after``: not before those have ended, if they are done at all. ``requires``: only
    if those are done, and not before they have ended. ``place`` breaks ties in walking
    order. ``late_cost_per_min`` counts from ``due`` to the task's end.
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

    def late_cost(self, start: int) -> int:
        """What starting at ``start`` costs for being late."""
        if self.due is None:
            return 0
        return self.late_cost_per_min * max(0, start + self.minutes - self.due)


@dataclass(frozen=True, slots=True)
class Day:
    """Who is there and what there is to do."""

    crew: tuple[CrewMember, ...]
    tasks: tuple[Task, ...]


@dataclass(frozen=True, slots=True)
class Assignment:
    """A task given to people from a minute on."""

    task: Id
    start: int
    crew: tuple[Id, ...]


class Cause(StrEnum):
    """What stood in a task's way, minute by minute of its window."""

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

    ``blocked``: how many possible starts each cause took, most first. ``took_place``:
    the tasks done in its stead, the least costly first. ``busy_with``: the kinds the
    people were on. ``busy_until``: the minute until which they were; ``leaves``: when
    the window closes. ``waits_for``: the task that had to come first.
    """

    blocked: tuple[tuple[Cause, int], ...] = ()
    took_place: tuple[Id, ...] = ()
    busy_with: tuple[str, ...] = ()
    busy_until: int | None = None
    leaves: int | None = None
    waits_for: Id | None = None

    @property
    def cause(self) -> Cause:
        return self.blocked[0][0] if self.blocked else Cause.CHOICE


@dataclass(frozen=True, slots=True)
class Missed:
    task: Id
    reason: Reason = field(default_factory=Reason)


@dataclass(frozen=True, slots=True)
class Late:
    task: Id
    minutes: int
    reason: Reason = field(default_factory=Reason)


class StoppedBy(StrEnum):
    """What ended the search: only ITERATIONS and OPTIMAL give the same plan every time."""

    ITERATIONS = "iterations"
    SECONDS = "seconds"
    OPTIMAL = "optimal"


@dataclass(frozen=True, slots=True)
class Plan:
    """The crew's day: what is done by whom, and what is not, with its reason."""

    assignments: tuple[Assignment, ...]
    missed: tuple[Missed, ...]
    late: tuple[Late, ...]
    cost: int
    seed: int
    iterations: int
    stopped_by: StoppedBy
    input_hash: str

    def rounds(self) -> dict[Id, list[Assignment]]:
        """Each person's tasks in the order they are done."""
        rounds: dict[Id, list[Assignment]] = {}
        for assignment in sorted(self.assignments, key=lambda a: (a.start, str(a.task))):
            for person in assignment.crew:
                rounds.setdefault(person, []).append(assignment)
        return rounds


def plan_cost(day: Day, assignments: Iterable[Assignment]) -> int:
    """Missed and late cost of a set of assignments."""
    starts = {a.task: a.start for a in assignments}
    return sum(
        task.late_cost(starts[task.id]) if task.id in starts else task.miss_cost
        for task in day.tasks
    )
