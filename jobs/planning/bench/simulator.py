"""A simulated day: a crew works off its plan while minutes scatter. No code of the planner.

Who has work begins the first task of their round as soon as it can begin. The crew asks for a new
plan when something has changed or a task is five minutes late to begin, at most once a minute.
Times are minutes since midnight, as fractions.
"""

import heapq
from collections.abc import Iterable
from enum import StrEnum
from typing import Protocol

from ..model import CrewMember, Id, PlanningDay, PlanningTask
from .simulated_world import MUST_START, ON_ARRIVAL, World

GRACE = 2.0  # minutes past the end of its window in which work may still be finished
OFF_SLOT = 5.0  # minutes beside its slot after which the plan no longer fits
A_MOMENT = 1e-9
AFTER_THE_DAY = 60  # minutes
Slots = dict[Id, tuple[int, tuple[Id, ...]]]  # where a plan has each task: the start, the people


class WorkState(StrEnum):
    OPEN = "open"
    RUNNING = "running"
    DONE = "done"
    MISSED = "missed"
    VOID = "void"  # the rider was not there: nobody's fault, at no cost


class Crew(Protocol):
    """Who decides: the plan, a new plan, and what somebody without work may take."""

    def first_plan(self, day: "SimulatedDay") -> Slots: ...

    def next_plan(self, day: "SimulatedDay") -> Slots: ...

    def spare(self, day: "SimulatedDay") -> dict[Id, Id]: ...


class SimulatedDay:
    """One day in one world, as it is at ``now``."""

    def __init__(self, day: PlanningDay, world: World, crew: Crew) -> None:
        self.day, self.world, self.crew = day, world, crew
        self.tasks = {task.id: task for task in day.tasks}
        self.people = {member.id: member for member in day.crew}
        self.windows = {t.id: [list(map(float, w)) for w in t.windows] for t in day.tasks}
        self.due = {t.id: t.due for t in day.tasks}
        self.state = dict.fromkeys(self.tasks, WorkState.OPEN)
        self._may_be_open = list(self.tasks)
        self.began: dict[Id, float] = {}
        self.ended: dict[Id, float] = {}
        self.done_by: dict[Id, tuple[Id, ...]] = {}
        self.busy: dict[Id, Id] = {}  # person to task
        self.in_work: dict[Id, Id] = {}  # bike to task
        self.comes: dict[Id, float] = {}  # bike to the minute in which it comes, once known
        self.slots: Slots = {}
        self.rounds: dict[Id, list[Id]] = {}
        self.now, self.changed, self.plans, self.taken = 0.0, False, 0, 0
        self._planned_at, self._order = -1.0, 0
        self._events: list[tuple[float, int, str, tuple[object, ...]]] = []
        self._required_by: dict[Id, list[Id]] = {}
        for task in day.tasks:
            for other in task.requires:
                self._required_by.setdefault(other, []).append(task.id)

    def run(self) -> "SimulatedDay":
        windows = [w for t in self.day.tasks for w in t.windows]
        first, end = min(w[0] for w in windows), max(w[1] for w in windows) + AFTER_THE_DAY
        self.now = first - 1.0
        self._plan_events(first, end)
        self._take(self.crew.first_plan(self))
        while self._events:
            self.now, _order, what, arguments = heapq.heappop(self._events)
            getattr(self, f"_on_{what}")(*arguments)
            if self._events and self._events[0][0] <= self.now + A_MOMENT:
                continue
            self._give_up()
            self._work()
            if self.now - self._planned_at >= 1.0 and self._is_stale():
                self._planned_at, self.changed = self.now, False
                self.plans += 1
                self._take(self.crew.next_plan(self))
                self._work()
        return self

    # What came of it

    def cost(self) -> float:
        """As the planner counts: what is missed, and what ended late."""
        missed = sum(self.tasks[task].miss_cost for task in self.missed())
        return missed + sum(
            self.tasks[task].late_cost_per_min * max(0.0, self.ended[task] - due)
            for task, due in self.due.items()
            if due is not None and self.state[task] is WorkState.DONE
        )

    def missed(self) -> list[Id]:
        over = (WorkState.MISSED, WorkState.OPEN)
        return [task for task, state in self.state.items() if state in over]

    # Events

    def _plan_events(self, first: int, end: int) -> None:
        for bike, minutes in self.world.late.items():
            mine = [t.windows[0][0] for t in self.day.tasks if t.bike == bike and _on_arrival(t)]
            if mine:
                self._push(min(mine), "late", bike, minutes)
        for at, minutes in self.world.delays:
            self._push(at, "delay", minutes)
        for minute in range(first, end):
            self._push(minute, "tick")

    def _push(self, at: float, what: str, *arguments: object) -> None:
        self._order += 1
        heapq.heappush(self._events, (at, self._order, what, arguments))

    def _on_tick(self) -> None:
        """The clock alone: windows open and close."""

    def _on_late(self, bike: Id, minutes: float) -> None:
        self.comes[bike] = self.now + minutes
        self.changed = True

    def _on_delay(self, minutes: int) -> None:
        """Every window and due time that is not over moves, but not the arrivals."""
        for task, windows in self.windows.items():
            if self.state[task] is not WorkState.OPEN:
                continue
            arrives = _on_arrival(self.tasks[task])
            for place, window in enumerate(windows):
                if window[0] >= self.now and not (arrives and place == 0):
                    window[0] += minutes
                if window[1] >= self.now:
                    window[1] += minutes
            due = self.due[task]
            if due is not None and due >= self.now and not arrives:
                self.due[task] = due + minutes
        self.changed = True

    def _on_end(self, task: Id, how: WorkState) -> None:
        self.state[task], self.ended[task] = how, self.now
        for person in self.done_by[task]:
            del self.busy[person]
        del self.in_work[self.tasks[task].bike]
        self.slots.pop(task, None)
        if how is not WorkState.DONE:
            self._lose_what_requires(task)

    def _lose_what_requires(self, task: Id) -> None:
        how = WorkState.VOID if self.state[task] is WorkState.VOID else WorkState.MISSED
        for other in self._required_by.get(task, ()):
            if self.state[other] is WorkState.OPEN:
                self.state[other] = how
                self._lose_what_requires(other)

    def _give_up(self) -> None:
        self._may_be_open = [t for t in self._may_be_open if self.state[t] is WorkState.OPEN]
        for task in self._may_be_open:
            if self.state[task] is WorkState.OPEN and self.opens(task) is None:
                self.state[task] = WorkState.MISSED
                self.changed |= self.slots.pop(task, None) is not None
                self._lose_what_requires(task)

    # What can be done

    def opens(self, task: Id) -> float | None:
        """The first minute from now in which it may begin; None if there is none."""
        which = self.tasks[task]
        grace = 0.0 if which.kind in MUST_START else GRACE
        for place, (first, last) in enumerate(self.windows[task]):
            begin = max(first, self.now)
            if _on_arrival(which) and place == 0:
                begin = max(begin, self.comes.get(which.bike, begin))
            if begin <= last + grace - which.minutes:
                return begin
        return None

    def can_begin(self, task: Id) -> bool:
        which, opens = self.tasks[task], self.opens(task)
        if self.state[task] is not WorkState.OPEN or opens is None or opens > self.now + A_MOMENT:
            return False
        if which.bike in self.in_work:
            return False
        if any(self.state[other] is not WorkState.DONE for other in which.requires):
            return False
        return not any(
            self.state[other] is WorkState.RUNNING
            or (self.state[other] is WorkState.OPEN and other in self.slots)
            for other in which.after
        )

    def is_free(self, person: Id, minutes: int) -> bool:
        member: CrewMember = self.people[person]
        end = self.now + minutes
        return person not in self.busy and not any(a < end and self.now < b for a, b in member.off)

    def next_of(self, person: Id) -> Id | None:
        """The first task of their round that is still open."""
        waiting = self.rounds.get(person, [])
        while waiting and (
            self.state[waiting[-1]] is not WorkState.OPEN
            or waiting[-1] not in self.slots
            or person not in self.slots[waiting[-1]][1]
        ):
            waiting.pop()
        return waiting[-1] if waiting else None

    # What the crew does

    def _take(self, slots: Slots) -> None:
        self.slots = {t: s for t, s in slots.items() if self.state[t] is WorkState.OPEN}
        self.rounds = {}
        for task, (_start, people) in sorted(
            self.slots.items(), key=lambda one: (-one[1][0], str(one[0]))
        ):
            for person in people:
                self.rounds.setdefault(person, []).append(task)

    def _work(self) -> None:
        """Begin all that can begin, then what somebody without work takes."""
        while self._begin_own() or self._begin_spare():
            pass

    def _begin_own(self) -> bool:
        begun = False
        for person in self.people:
            task = self.next_of(person)
            if task is None or not self.can_begin(task) or self._is_too_early(task):
                continue
            people, minutes = self.slots[task][1], self.tasks[task].minutes
            if all(self.is_free(p, minutes) and self.next_of(p) == task for p in people):
                self._begin(task, people)
                begun = True
        return begun

    def _is_too_early(self, task: Id) -> bool:
        """Before its slot, while other work on the same bike comes first in the plan."""
        start, bike = self.slots[task][0], self.tasks[task].bike
        return self.now < start and any(
            other_start < start
            and self.tasks[other].bike == bike
            and self.state[other] is WorkState.OPEN
            for other, (other_start, _people) in self.slots.items()
        )

    def _begin_spare(self) -> bool:
        if len(self.busy) == len(self.people):
            return False
        for person, task in self.crew.spare(self).items():
            if self.can_begin(task) and self.is_free(person, self.tasks[task].minutes):
                self._begin(task, (person,))
                self.changed, self.taken = True, self.taken + 1
                return True
        return False

    def _begin(self, task: Id, people: Iterable[Id]) -> None:
        which, people = self.tasks[task], tuple(people)
        self.state[task], self.began[task] = WorkState.RUNNING, self.now
        self.done_by[task] = people
        self.in_work[which.bike] = task
        for person in people:
            self.busy[person] = task
        if task in self.slots and abs(self.slots[task][0] - self.now) > OFF_SLOT:
            self.changed = True
        end = self.now + self.world.minutes[task]
        latest = max(w[1] for w in self.windows[task]) + GRACE
        if task in self.world.absent:
            self._push(self.now + 1, "end", task, WorkState.VOID)
        elif which.kind not in MUST_START and end > latest:
            self._push(max(latest, self.now + 0.3), "end", task, WorkState.MISSED)
        else:
            self._push(end, "end", task, WorkState.DONE)

    def _is_stale(self) -> bool:
        return self.changed or any(
            start + OFF_SLOT < self.now and self.state[task] is WorkState.OPEN
            for task, (start, _people) in self.slots.items()
        )


def _on_arrival(task: PlanningTask) -> bool:
    return task.kind in ON_ARRIVAL
