"""Tasks that the plan leaves out within the next hour: why, and who else could do them."""

import uuid
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Any

from django.utils.translation import gettext as _

from jobs.people.models import User
from jobs.trackday import clock
from jobs.worklist.bikes import BikeDay
from jobs.worklist.day import Day
from jobs.worklist.derive import Task
from jobs.worklist.enums import Cadence
from jobs.worklist.models import DayPlan
from jobs.worklist.planned.chances import chance_of, next_follow_ups
from jobs.worklist.planned.minutes import moment_of
from jobs.worklist.planned.problem import short_name
from jobs.worklist.rounds import can_do

from .likely import UNLIKELY, chance_words

NEXT_HOUR = timedelta(minutes=60)
MOST_SHOWN = 5


@dataclass(frozen=True)
class LaterStart:
    """A time later in the day at which the task fits: after which session, and when."""

    session_id: int
    session: str
    at: str


@dataclass(frozen=True)
class LeftOutTask:
    """One task the plan leaves out."""

    bike: BikeDay
    task: Task
    why: str
    instead: str
    people: list[User]
    gap: LaterStart | None
    sure: str = ""


def will_not_fit(day: Day, plan: DayPlan | None) -> list[LeftOutTask]:
    """Left out and due within the hour: arrival checks first, then the most costly.

    After them the follow-ups that the plan has, but which are unlikely to be done in time.
    """
    if plan is None:
        return []
    tasks = {task.id: (bike, task) for bike in day.bikes for task in bike.tasks}
    found = []
    for missed in plan.missed:
        bike, task = tasks.get(uuid.UUID(missed["task"]), (None, None))
        if bike is None or task is None or task.started_by is not None:
            continue
        if task.opens <= day.at + NEXT_HOUR and _still_possible(day, bike, task):
            row = _left_out_task(day, bike, task, missed, tasks)
            found.append(replace(row, sure=_sure(plan, bike, task)))
    return [*found[:MOST_SHOWN], *_unlikely(day, plan, {row.task.id for row in found})][:MOST_SHOWN]


def _sure(plan: DayPlan, bike: BikeDay, task: Task) -> str:
    if task.item.cadence != Cadence.FOLLOW_UP:
        return ""
    return chance_words(chance_of(plan, bike))


def _unlikely(day: Day, plan: DayPlan, shown: set[uuid.UUID]) -> Iterator[LeftOutTask]:
    """The follow-ups that the plan has and that are less likely than not, the least first."""
    chances = [(chance_of(plan, bike), bike) for bike in day.bikes]
    found = [(chance, bike) for chance, bike in chances if chance is not None]
    for chance, bike in sorted(found, key=lambda one: (one[0], one[1].entry.pk)):
        for task in next_follow_ups(bike.tasks):
            soon = task.opens <= day.at + NEXT_HOUR and task.latest_start >= day.at
            if chance < UNLIKELY and soon and task.id not in shown and task.started_by is None:
                yield LeftOutTask(
                    bike=bike,
                    task=task,
                    why=_("planned, but work before it often takes too long"),
                    instead="",
                    people=[p for p in day.crew_here if can_do(p, task)],
                    gap=None,
                    sure=chance_words(chance),
                )


def _still_possible(day: Day, bike: BikeDay, task: Task) -> bool:
    """Whether it can still be begun in its window; an arrival check until the bike rolls."""
    if task.item.arrival_check and bike.where.roll is not None:
        return bike.where.roll >= day.at
    return task.latest_start >= day.at


def _left_out_task(
    day: Day,
    bike: BikeDay,
    task: Task,
    missed: Mapping[str, Any],
    tasks: Mapping[uuid.UUID, tuple[BikeDay, Task]],
) -> LeftOutTask:
    done = [tasks[uuid.UUID(each)] for each in missed["took_place"][:2] if uuid.UUID(each) in tasks]
    instead = ", ".join(
        f"{other.entry.number or '–'} {short_name(t.item.text)}" for other, t in done
    )
    alone = task.item.people == 1
    return LeftOutTask(
        bike=bike,
        task=task,
        why=_why(day, bike, missed),
        instead=instead,
        people=[person for person in day.crew_here if alone and can_do(person, task)],
        gap=_gap(day, missed.get("gap")),
    )


def _gap(day: Day, given: Sequence[int] | None) -> LaterStart | None:
    if given is None:
        return None
    session_id, start = given
    session = next((t.session for t in day.times if t.session.pk == session_id), None)
    if session is None:
        return None
    at = clock.local(day.trackday, moment_of(clock.midnight(day.trackday), start))
    return LaterStart(session_id, str(session), f"{at:%H:%M}")


def _why(day: Day, bike: BikeDay, missed: Mapping[str, Any]) -> str:
    zero = clock.midnight(day.trackday)

    def hhmm(minute: int | None) -> str:
        if minute is None:
            return _("the end of the day")
        return f"{clock.local(day.trackday, moment_of(zero, minute)):%H:%M}"

    values = missed["values"]
    return _(missed["text"]) % {
        "bike": bike.entry.number or "–",
        "busy": _(" and ").join(values["busy"]) or _("other work"),
        "until": hhmm(values["until"]),
        "leaves": hhmm(values["leaves"]),
        "who": values["who"],
        "first": values["first"],
    }
