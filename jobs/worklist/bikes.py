"""One bike on one day: where it is, what is open on it, and its state in a word."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from jobs.trackday.enums import BikePlace
from jobs.trackday.models import Entry
from jobs.trackday.where import Whereabouts

from .derive import Task
from .enums import BikeState, Cadence, Mark, Point, TaskState
from .models import Hold

# The state of a bike that nobody can work on is the place where it is.
AWAY = {
    BikePlace.NOT_ARRIVED: BikeState.NOT_ARRIVED,
    BikePlace.OUT: BikeState.OUT,
    BikePlace.DUE_IN: BikeState.DUE_IN,
    BikePlace.GONE_HOME: BikeState.GONE_HOME,
}


@dataclass(frozen=True)
class BikeDay:
    """One entry at one moment, as screens show it; ``tasks`` are those of the whole day."""

    entry: Entry
    where: Whereabouts
    tasks: Sequence[Task]
    holds: Sequence[Hold]
    not_read_back: int
    unplaced: int
    to_judge_since: Sequence[datetime]
    orders: int
    changed_last_time: bool
    first_day: bool
    look_alike: bool
    shared_number: bool
    at: datetime

    @cached_property
    def open_tasks(self) -> list[Task]:
        return [task for task in self.tasks if task.is_open]

    @property
    def to_judge(self) -> int:
        """How many expectations nobody has judged."""
        return len(self.to_judge_since)

    @property
    def open_count(self) -> int:
        """Open tasks of this turnaround, and changes of today not read back."""
        return len(self.open_tasks) + self.not_read_back

    @cached_property
    def missed(self) -> list[Task]:
        """Tasks of this turnaround that were missed or skipped: screens name them."""
        stop, roll = self.where.stop, self.where.roll
        return [
            task
            for task in self.tasks
            if task.state in (TaskState.MISSED, TaskState.SKIPPED)
            and (stop is None or task.opens >= stop)
            and (roll is None or task.opens <= roll)
        ]

    @property
    def is_out(self) -> bool:
        return self.where.place in (BikePlace.OUT, BikePlace.DUE_IN)

    @property
    def came_late(self) -> bool:
        """It came too late for all the work on arrival: safety, pressures and count only."""
        return self.entry.late or self.where.came_late

    @property
    def arrival_checks(self) -> list[Task]:
        return [task for task in self.tasks if task.item.arrival_check]

    @property
    def rolled_unchecked(self) -> bool:
        """It has been out, and no arrival check was made; a skipped one was not made."""
        return self.where.last is not None and any(
            task.state != TaskState.DONE for task in self.arrival_checks
        )

    @property
    def checked(self) -> bool:
        """Arrival safety, and the pre-grid check of the next outing, were made and passed."""
        once = self.arrival_checks
        coming = self.where.coming
        next_id = coming.times.session.pk if coming else None
        before = [
            t
            for t in self.tasks
            if t.item.safety and t.item.cadence == Cadence.BEFORE and t.session_id == next_id
        ]
        return bool(once) and bool(before) and all(passed(task) for task in [*once, *before])

    @property
    def pre_grid_ahead(self) -> bool:
        """The pre-grid check of the next outing is asked for later."""
        coming = self.where.coming
        return coming is not None and any(
            t.state == TaskState.LATER and t.session_id == coming.times.session.pk
            for t in self.tasks
            if t.item.safety and t.item.cadence == Cadence.BEFORE
        )

    @cached_property
    def state(self) -> BikeState:
        """The bike's state in a word; while it is held, nothing better than held."""
        place = self.where.place
        if place in AWAY:
            return AWAY[place]
        if self.holds:
            return BikeState.HELD
        if place == BikePlace.DID_NOT_GO_OUT:
            return BikeState.DID_NOT_GO_OUT
        if self.open_count:
            return BikeState.OPEN
        if self.pre_grid_ahead or self.where.coming is None:
            return BikeState.IN
        return BikeState.NOTHING_OPEN if self.checked else BikeState.NOT_CHECKED

    @property
    def until(self) -> datetime | None:
        """What its countdown runs to: the roll, or the stop while it is out."""
        if self.is_out:
            return self.where.stop
        return self.where.roll


def to_do_again(task: Task) -> bool:
    """A safety check that was made and not passed: after the repair it is made again."""
    return task.item.safety and task.state == TaskState.DONE and not passed(task)


def passed(task: Task) -> bool:
    """Done, and no point of it failed or left out in the last tick."""
    done = [mark for mark in task.marks if mark.mark == Mark.DONE]
    if not done:
        return False
    found = done[-1].points
    return all(found.get(point["code"], Point.PASS) == Point.PASS for point in task.item.points)
