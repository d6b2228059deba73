"""What would help with the work that does not fit: computed in the background, shown when
it is ready."""

import uuid
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from jobs.people.access import SignedIn
from jobs.trackday import clock
from jobs.worklist.bikes import BikeDay
from jobs.worklist.day import Day
from jobs.worklist.derive import Task
from jobs.worklist.models import DayPlan
from jobs.worklist.planned.minutes import moment_of
from jobs.worklist.selectors import day_read
from jobs.worklist.services import plan_refresh, relief_request

from .trackday_lookup import trackday_or_404

MOST_NAMED = 4
Tasks = Mapping[uuid.UUID, tuple[BikeDay, Task]]


@dataclass(frozen=True)
class ExtraHelper:
    """One more helper: from when to when, and which tasks that saves, in words."""

    start: str
    end: str
    saves: int
    named: str


@dataclass(frozen=True)
class PostponedTask:
    """One task that could be done after a later session instead."""

    bike: BikeDay
    task: Task
    session_id: int
    session: str
    at: str

    @property
    def name(self) -> str:
        return self.task.item.text.partition(":")[0]


@dataclass(frozen=True)
class PostponedTasks:
    """Tasks that could be done later, and which other tasks that saves, in words."""

    tasks: list[PostponedTask]
    saves: int
    named: str


@dataclass(frozen=True)
class Relief:
    """What would help; ``counting`` while it is not known yet."""

    helper: ExtraHelper | None = None
    moved: PostponedTasks | None = None
    counting: bool = False


def relief_of(day: Day, stored: DayPlan | None) -> Relief:
    """The stored result for a plan, without tasks that are done meanwhile."""
    if stored is None or not any(stored.rank):
        return Relief()
    if stored.relief is None:
        return Relief(counting=True)
    tasks = {task.id: (bike, task) for bike in day.bikes for task in bike.tasks}
    return Relief(
        helper=_helper(day, stored, stored.relief["helper"], tasks),
        moved=_postponed(day, stored, stored.relief["moved"], tasks),
    )


def relief(request: SignedIn, trackday_id: int) -> HttpResponse:
    """The part of the Plan page that is computed in the background; the page asks for it again
    until it is ready."""
    trackday = trackday_or_404(trackday_id)
    day = day_read(trackday)
    stored = plan_refresh(day=day)
    if stored is not None:
        relief_request(stored=stored)
    context = {
        "trackday": trackday,
        "relief": relief_of(day, stored),
        "crew": True,
        "back": reverse("board:plan", args=[trackday.pk]),
    }
    return render(request, "board/day/relief.html", context)


def _helper(
    day: Day, stored: DayPlan, found: Mapping[str, Any] | None, tasks: Tasks
) -> ExtraHelper | None:
    saved = _left_out(stored, found, tasks)
    if not found or not saved:
        return None
    return ExtraHelper(_hhmm(day, found["from"]), _hhmm(day, found["to"]), len(saved), named(saved))


def _postponed(
    day: Day, stored: DayPlan, found: Mapping[str, Any] | None, tasks: Tasks
) -> PostponedTasks | None:
    saved = _left_out(stored, found, tasks)
    if not found or not saved:
        return None
    sessions = {t.session.pk: str(t.session) for t in day.times}
    waiting = [
        PostponedTask(
            *tasks[task_id],
            session_id=each["after_session"],
            session=sessions[each["after_session"]],
            at=_hhmm(day, each["start"]),
        )
        for each in found["tasks"]
        if (task_id := uuid.UUID(each["task"])) in tasks
        and each["after_session"] in sessions
        and not tasks[task_id][1].marks
    ]
    return PostponedTasks(waiting, len(saved), named(saved)) if waiting else None


def _left_out(
    stored: DayPlan, found: Mapping[str, Any] | None, tasks: Tasks
) -> list[tuple[BikeDay, Task]]:
    """What would be saved and is still to do and not in the plan."""
    saved = [uuid.UUID(task) for task in found["saves"]] if found else []
    left = [
        tasks[task]
        for task in saved
        if task in tasks and str(task) not in stored.slots and not tasks[task][1].marks
    ]
    return sorted(left, key=lambda one: -one[1].item.miss_cost)


def named(saved: Sequence[tuple[BikeDay, Task]]) -> str:
    """A few by bike and task; many by how many of each task, the most costly first."""
    names = [(bike.entry.number or "–", task.item.text.partition(":")[0]) for bike, task in saved]
    if len(names) <= MOST_NAMED:
        return ", ".join(f"{number} {name}" for number, name in names)
    counts = Counter(name for _number, name in names)
    return ", ".join(f"{n} × {name}" for name, n in counts.items())


def _hhmm(day: Day, minute: int) -> str:
    return f"{clock.local(day.trackday, moment_of(clock.midnight(day.trackday), minute)):%H:%M}"
