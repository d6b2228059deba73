"""What somebody with nothing to do could take: offered, never assigned.

Who cannot begin anything of their own is offered what would otherwise be missed, then what is
overdue, if it ends before their own next task. While a ``first`` task that they could begin in
that time is still to be begun, nothing but ``first`` tasks is offered: without this rule more
of them were missed in simulated days.
"""

from collections.abc import Container, Iterable
from dataclasses import dataclass
from enum import StrEnum

from .model import Assignment, CrewMember, Id, PlanningDay, PlanningTask

NEVER = 10**9  # a minute after every day


class WhySpare(StrEnum):
    """Why a task is offered to somebody else than the plan says."""

    LOST = "lost"  # nobody will come to it in time
    OVERDUE = "overdue"  # its time has come, and who has it is on something else


@dataclass(frozen=True, slots=True)
class SpareTask:
    task: Id
    why: WhySpare


def spare_tasks(
    day: PlanningDay,
    assignments: Iterable[Assignment],
    *,
    now: int,
    locked: Iterable[Assignment] = (),
    among: Container[Id] | None = None,
) -> dict[Id, SpareTask]:
    """By person, the task to offer; who has own work, or no use for any, is left out.

    ``day``: what is still to do. ``assignments``: the plan in force. ``locked``: what is begun
    or pinned. ``among``: only these are offered. No task is offered to two people.
    """
    moment = _Moment(day, assignments, locked, now, among)
    found: dict[Id, SpareTask] = {}
    for person in day.crew:
        taken = {spare.task for spare in found.values()}
        if spare := moment.best_for(person, taken):
            found[person.id] = spare
    return found


class _Moment:
    """The day at one minute: who is on what, and what comes next."""

    def __init__(
        self,
        day: PlanningDay,
        assignments: Iterable[Assignment],
        locked: Iterable[Assignment],
        now: int,
        among: Container[Id] | None,
    ) -> None:
        self.now, self.among = now, among
        self.tasks = {task.id: task for task in day.tasks}
        self.held = {a.task: a for a in locked}
        begun = [a for a in self.held.values() if a.start < now]
        self.slots = {a.task: a for a in assignments if a.task in self.tasks} | self.held
        for each in begun:
            del self.slots[each.task]
        self.busy_until = {
            person: max(a.start + self.tasks[a.task].minutes, now + 1)
            for a in begun
            for person in a.crew
        }
        self.bikes_in_work = {self.tasks[a.task].bike for a in begun}
        self.next_of: dict[Id, Id] = {}
        for a in sorted(self.slots.values(), key=lambda a: (-a.start, self.tasks[a.task].order)):
            self.next_of.update(dict.fromkeys(a.crew, a.task))
        self.first = [t for t in day.tasks if t.first and t.id not in self.held]

    def best_for(self, person: CrewMember, taken: Container[Id]) -> SpareTask | None:
        until = self._free_until(person)
        found = [
            (task, why)
            for task in self.tasks.values()
            if task.id not in taken
            and self._suits(task, person, until)
            and (why := self._why(task, person))
            and (task.first or not self._first_within_reach(person, task.minutes))
        ]
        if not found:
            return None
        task, why = min(
            found,
            key=lambda one: (
                not one[0].first,
                one[1] is not WhySpare.LOST,
                -one[0].miss_cost / one[0].minutes,
                one[0].order,
            ),
        )
        return SpareTask(task.id, why)

    def _free_until(self, person: CrewMember) -> int:
        """The minute in which their own next task may begin, or in which they leave."""
        if person.id in self.busy_until or any(a <= self.now < b for a, b in person.off):
            return self.now
        until = min((a for a, _ in person.off if a > self.now), default=NEVER)
        if person.id in self.next_of:
            own = self.tasks[self.next_of[person.id]]
            if self._can_begin(own):
                return self.now
            until = min(until, max(self.slots[own.id].start, self._opens(own)))
        return until

    def _opens(self, task: PlanningTask) -> int:
        return min((max(a, self.now) for a, b in task.windows if b > self.now), default=self.now)

    def _suits(self, task: PlanningTask, person: CrewMember, until: int) -> bool:
        return (
            self.now + task.minutes <= until
            and task.people == 1
            and task.skill in person.skills
            and task.id not in self.held
            and (self.among is None or task.id in self.among)
            and self._can_begin(task)
        )

    def _can_begin(self, task: PlanningTask) -> bool:
        if task.bike in self.bikes_in_work or any(o in self.tasks for o in task.requires):
            return False
        if any(o in self.slots or o in self.held for o in task.after):
            return False
        return self._may_start(task, self.now, self.now)

    def _may_start(self, task: PlanningTask, first: int, last: int) -> bool:
        """Whether its windows have a start from ``first`` to ``last``."""
        return not task.windows or any(
            max(a, first) <= min(b - task.minutes, last) for a, b in task.windows
        )

    def _why(self, task: PlanningTask, person: CrewMember) -> WhySpare | None:
        slot = self.slots.get(task.id)
        if slot is None:
            return WhySpare.LOST
        if person.id in slot.crew:
            return None
        begins = max(self.busy_until.get(each, self.now) for each in slot.crew)
        if not self._may_start(task, begins, NEVER):
            return WhySpare.LOST
        waiting = any(self.next_of[each] != task.id for each in slot.crew)
        overdue = slot.start <= self.now and (begins > self.now or waiting)
        return WhySpare.OVERDUE if overdue else None

    def _first_within_reach(self, person: CrewMember, minutes: int) -> bool:
        """Whether they could begin a ``first`` task within so many minutes."""
        last = self.now + minutes - 1
        return any(
            task.skill in person.skills and self._may_start(task, self.now, last)
            for task in self.first
        )
