"""The plan page: everybody's work on a timeline, and what a delay would cost."""

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
from jobs.worklist.planned.chances import counted
from jobs.worklist.planned.delay_preview import delay_cost
from jobs.worklist.planned.minutes import minute_to, moment_of
from jobs.worklist.planned.stored import slots_of
from jobs.worklist.rounds import can_do
from jobs.worklist.selectors import day_read
from jobs.worklist.services import SearchBudget, plan_refresh

from .delays import TAPS, tap_of
from .left_out import will_not_fit
from .offer import offer_of
from .trackday_lookup import trackday_or_404

MINUTES_BEFORE_NOW, MINUTES_AFTER_NOW = 10, 80  # what the timeline shows
LETTERS_OF_NAME, NAME_WIDTH = 8, 84.0  # of a name beside its lane; width in SVG units


@dataclass(frozen=True)
class PlannedTask:
    """One task of one person: when, on which bike."""

    at: str
    start: int
    bike: BikeDay
    task: Task
    others: list[User]
    wish: PlanWish | None

    @property
    def name(self) -> str:
        """The short name of the task: its text up to a colon."""
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
    work: list[PlannedTask]


@dataclass(frozen=True)
class ExpectedCost:
    """The cost to expect of the rest of the day, its range, and what the plan alone says."""

    mean: int
    low: int
    high: int
    plan: int


def plan(request: SignedIn, trackday_id: int) -> HttpResponse:
    """The crew's timeline; with ``?minutes=`` what that delay would lose and save."""
    trackday = trackday_or_404(trackday_id)
    day = day_read(trackday)
    tap, budget = tap_of(request.GET.get("minutes", "")), SearchBudget()
    stored = plan_refresh(day=day, budget=budget if tap else None)
    context = {
        "trackday": trackday,
        "now": clock.now(trackday),
        "timeline": timeline(day, stored),
        "people": people(day, stored),
        "offer": offer_of(day, stored),
        "expected": expected_cost(stored),
        "left_out": will_not_fit(day, stored),
        "delays": TAPS if day.expected.next_planned else (),
        "tap": tap,
        "cost": delay_cost(day, stored, tap.minutes, budget) if stored and tap else None,
    }
    return render(request, "board/day/plan.html", context)


def expected_cost(stored: DayPlan | None) -> ExpectedCost | None:
    """None: it is still being counted, or there is no plan."""
    known = counted(stored)
    if stored is None or known is None:
        return None
    mean, low, high = known["cost"]
    return ExpectedCost(mean, low, high, stored.cost)


def people(day: Day, stored: DayPlan | None) -> list[PersonPlan]:
    """Everybody's tasks from now on, as far as the timeline goes."""
    zero, tasks = clock.midnight(day.trackday), _tasks(day)
    now = minute_to(zero, day.at)
    here = {person.pk: person for person in day.crew_here}
    wishes = {w.task_id: w for w in day.wishes if w.person_id is not None}
    found: dict[int, list[PlannedTask]] = {person: [] for person in here}
    for task_id, slot in sorted(slots_of(stored).items(), key=lambda s: (s[1].start, str(s[0]))):
        if task_id in tasks and now - MINUTES_BEFORE_NOW <= slot.start < now + MINUTES_AFTER_NOW:
            bike, task = tasks[task_id]
            at = f"{clock.local(day.trackday, moment_of(zero, slot.start)):%H:%M}"
            others = [p for p in here.values() if p.pk not in slot.people and can_do(p, task)]
            for person in set(slot.people) & set(found):
                found[person].append(
                    PlannedTask(at, slot.start, bike, task, others, wishes.get(task_id))
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
    zero, tasks = clock.midnight(day.trackday), _tasks(day)
    now = minute_to(zero, day.at)
    lanes: dict[int, list[Bar]] = {person.pk: [] for person in day.crew_here}
    for task_id, slot in slots_of(stored).items():
        if (
            task_id not in tasks
            or not now - MINUTES_BEFORE_NOW <= slot.start < now + MINUTES_AFTER_NOW
        ):
            continue
        bike, task = tasks[task_id]
        state = BarState.RUNNING if task.state == TaskState.STARTED else BarState.PLANNED
        end = min(slot.start + task.item.planned_minutes, now + MINUTES_AFTER_NOW)
        bar = Bar(slot.start, end, state, bike.entry.number or "–")
        for person in set(slot.people) & set(lanes):
            lanes[person].append(bar)
    for member in day.crew:
        if member.user_id in lanes and member.lunch_from and member.lunch_to:
            start, end = minute_to(zero, member.lunch_from), minute_to(zero, member.lunch_to)
            start, end = max(start, now - MINUTES_BEFORE_NOW), min(end, now + MINUTES_AFTER_NOW)
            if start < end:
                lanes[member.user_id].append(Bar(start, end, BarState.DONE, _("lunch")))
    svg = strip(
        [
            Lane(
                person.display_name[:LETTERS_OF_NAME],
                sorted(lanes[person.pk], key=lambda bar: bar.start),
            )
            for person in day.crew_here
        ],
        start=now - MINUTES_BEFORE_NOW,
        end=now + MINUTES_AFTER_NOW,
        now=now,
        hours=_marks(day, now),
        alt=_("Who does what in the next hour; the same as a list below"),
        gutter=NAME_WIDTH,
    )
    return mark_safe(svg)  # noqa: S308 - written and escaped by jobs.plots


def _marks(day: Day, now: int) -> list[tuple[float, str]]:
    """Every quarter of an hour."""
    zero = clock.midnight(day.trackday)
    first = (now - MINUTES_BEFORE_NOW) // 15 * 15 + 15
    return [
        (float(minute), f"{clock.local(day.trackday, moment_of(zero, minute)):%H:%M}")
        for minute in range(first, now + MINUTES_AFTER_NOW, 15)
    ]
