"""The plan for the laptop: everybody's work on one line of time, and what a delay would cost."""

import uuid
from dataclasses import dataclass

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from jobs.people.access import SignedIn
from jobs.people.models import User
from jobs.plots.strip import Bar, BarState, Lane, strip
from jobs.trackday import clock
from jobs.worklist.bikes import BikeDay
from jobs.worklist.day import Day
from jobs.worklist.derive import Task
from jobs.worklist.enums import TaskState
from jobs.worklist.models import DayPlan, PlanWish
from jobs.worklist.planned.minutes import midnight, minute_to, moment_of
from jobs.worklist.planned.stored import slots_of
from jobs.worklist.planned.supposed import delay_cost
from jobs.worklist.rounds import can_do
from jobs.worklist.selectors import day_read
from jobs.worklist.services import Inline, plan_keep

from .delays import TAPS, tap_of
from .gate import trackday_or_404
from .offer import offer_of
from .unfit import will_not_fit

BEFORE, AHEAD = 10, 80  # minutes the line of time shows around now
NAME, GUTTER = 8, 84.0  # the letters of a name a lane shows, and the room they take


@dataclass(frozen=True)
class Planned:
    """One task of one person: when, on which bike."""

    at: str
    start: int
    bike: BikeDay
    task: Task
    others: list[User]
    wish: PlanWish | None

    @property
    def name(self) -> str:
        """What stands before the colon."""
        return self.task.item.text.partition(":")[0]

    @property
    def pinned(self) -> bool:
        return self.wish is not None and self.wish.start_minute is not None

    @property
    def can_pin(self) -> bool:
        """One person's work that nobody has begun."""
        return self.task.item.people == 1 and self.task.state != TaskState.STARTED


@dataclass(frozen=True)
class PersonPlan:
    person: User
    work: list[Planned]


def plan(request: SignedIn, trackday_id: int) -> HttpResponse:
    """The crew's timeline; with ``?minutes=`` what that delay would lose and save."""
    trackday = trackday_or_404(trackday_id)
    day = day_read(trackday)
    tap, budget = tap_of(request.GET.get("minutes", "")), Inline()
    stored = plan_keep(day=day, budget=budget if tap else None)
    context = {
        "trackday": trackday,
        "now": clock.now(trackday),
        "timeline": timeline(day, stored),
        "people": people(day, stored),
        "offer": offer_of(day, stored),
        "unfit": will_not_fit(day, stored),
        "delays": TAPS,
        "tap": tap,
        "cost": delay_cost(day, stored, tap.minutes, budget) if stored and tap else None,
    }
    return render(request, "board/day/plan.html", context)


def people(day: Day, stored: DayPlan | None) -> list[PersonPlan]:
    """Everybody's tasks from now on, as far as the line of time goes."""
    zero, tasks = midnight(day.trackday), _tasks(day)
    now = minute_to(zero, day.at)
    here = {person.pk: person for person in day.crew_here}
    wishes = {w.task_id: w for w in day.wishes if w.person_id is not None}
    found: dict[int, list[Planned]] = {person: [] for person in here}
    for task_id, slot in sorted(slots_of(stored).items(), key=lambda s: (s[1].start, str(s[0]))):
        if task_id in tasks and now - BEFORE <= slot.start < now + AHEAD:
            bike, task = tasks[task_id]
            at = f"{clock.local(day.trackday, moment_of(zero, slot.start)):%H:%M}"
            others = [p for p in here.values() if p.pk not in slot.people and can_do(p, task)]
            for person in set(slot.people) & set(found):
                found[person].append(
                    Planned(at, slot.start, bike, task, others, wishes.get(task_id))
                )
    return [PersonPlan(person, found[person.pk]) for person in day.crew_here]


def _tasks(day: Day) -> dict[uuid.UUID, tuple[BikeDay, Task]]:
    return {
        task.id: (bike, task)
        for bike in day.bikes
        for task in bike.tasks
        if task.state in (TaskState.OPEN, TaskState.LATER, TaskState.STARTED)
    }


def timeline(day: Day, stored: DayPlan | None) -> SafeString:
    """A lane for each person, a bar for each task, the bike's number on it."""
    if stored is None or not day.crew_here:
        return SafeString("")
    zero, tasks = midnight(day.trackday), _tasks(day)
    now = minute_to(zero, day.at)
    lanes: dict[int, list[Bar]] = {person.pk: [] for person in day.crew_here}
    for task_id, slot in slots_of(stored).items():
        if task_id not in tasks or not now - BEFORE <= slot.start < now + AHEAD:
            continue
        bike, task = tasks[task_id]
        state = BarState.RUNNING if task.state == TaskState.STARTED else BarState.PLANNED
        end = min(slot.start + task.item.minutes, now + AHEAD)
        bar = Bar(slot.start, end, state, bike.entry.number or "–")
        for person in set(slot.people) & set(lanes):
            lanes[person].append(bar)
    for member in day.crew:
        if member.user_id in lanes and member.lunch_from and member.lunch_to:
            start, end = minute_to(zero, member.lunch_from), minute_to(zero, member.lunch_to)
            start, end = max(start, now - BEFORE), min(end, now + AHEAD)
            if start < end:
                lanes[member.user_id].append(Bar(start, end, BarState.DONE, _("lunch")))
    svg = strip(
        [
            Lane(person.display_name[:NAME], sorted(lanes[person.pk], key=lambda bar: bar.start))
            for person in day.crew_here
        ],
        start=now - BEFORE,
        end=now + AHEAD,
        now=now,
        hours=_marks(day, now),
        alt=_("Who does what in the next hour; the same as a list below"),
        gutter=GUTTER,
    )
    return mark_safe(svg)  # noqa: S308 - written and escaped by jobs.plots


def _marks(day: Day, now: int) -> list[tuple[float, str]]:
    """Every quarter of an hour."""
    zero = midnight(day.trackday)
    first = (now - BEFORE) // 15 * 15 + 15
    return [
        (float(minute), f"{clock.local(day.trackday, moment_of(zero, minute)):%H:%M}")
        for minute in range(first, now + AHEAD, 15)
    ]
