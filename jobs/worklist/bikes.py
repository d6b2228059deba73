"""One bike on one day: where it is, what is open on it, and its state in a word."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from jobs.trackday.enums import Place
from jobs.trackday.models import Entry
from jobs.trackday.where import Whereabouts

from .derive import Task
from .enums import BikeState, Cadence, Mark, Point, TaskState
from .models import Hold

# Where a bike is that nobody works on: its place is its state.
AWAY = {
    Place.NOT_ARRIVED: BikeState.NOT_ARRIVED,
    Place.OUT: BikeState.OUT,
    Place.DUE_IN: BikeState.DUE_IN,
    Place.GONE_HOME: BikeState.GONE_HOME,
}


@dataclass(frozen=True)
class BikeDay:
    """Everything the screens say of one entry; ``tasks`` are the whole day's."""

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
        """What this turnaround should have had and did not get: named, never hidden."""
        stop, roll = self.where.stop, self.where.roll
        return [
            task
            for task in self.tasks
            if task.state in (TaskState.MISSED, TaskState.SKIPPED)
            and (stop is None or task.opens >= stop)
            and (roll is None or task.opens <= roll)
        ]

    @property
    def checked(self) -> bool:
        """Arrival safety, and the pre-grid check of the next outing, were made and passed."""
        once = [t for t in self.tasks if t.item.safety and t.item.cadence == Cadence.ONCE]
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
        """The next outing's check is asked for, only not yet."""
        coming = self.where.coming
        return coming is not None and any(
            t.state == TaskState.LATER and t.session_id == coming.times.session.pk
            for t in self.tasks
            if t.item.safety and t.item.cadence == Cadence.BEFORE
        )

    @cached_property
    def state(self) -> BikeState:
        """The bike's state in a word; a held one is never anything better than held."""
        place = self.where.place
        if place in AWAY:
            return AWAY[place]
        if self.holds:
            return BikeState.HELD
        if place == Place.DID_NOT_GO_OUT:
            return BikeState.DID_NOT_GO_OUT
        if self.open_count:
            return BikeState.OPEN
        if self.pre_grid_ahead or self.where.coming is None:
            return BikeState.IN
        return BikeState.NOTHING_OPEN if self.checked else BikeState.NOT_CHECKED

    @property
    def until(self) -> datetime | None:
        """What its countdown runs to: the roll, or the stop while it is out."""
        if self.where.place in (Place.OUT, Place.DUE_IN):
            return self.where.stop
        return self.where.roll


def to_do_again(task: Task) -> bool:
    """A safety check that was made and not passed: once mended, it is made once more."""
    return task.item.safety and task.state == TaskState.DONE and not passed(task)


def passed(task: Task) -> bool:
    """Done, and no point of it failed or left out in the last tick."""
    done = [mark for mark in task.marks if mark.mark == Mark.DONE]
    if not done:
        return False
    found = done[-1].points
    return all(found.get(point["code"], Point.PASS) == Point.PASS for point in task.item.points)
