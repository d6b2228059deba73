"""How the day went: what was asked and done of each kind of work, and how long it took.

Who took how long is about people: a tuner sees everybody, in the order of the crew and never
ranked; a helper sees himself alone. It is derived from the marks, and nothing of it is stored.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import fmean

from django.http import HttpResponse
from django.shortcuts import render

from jobs.people.access import SignedIn
from jobs.people.models import User
from jobs.planning import WorkTime
from jobs.trackday.models import Trackday
from jobs.worklist.day import Day
from jobs.worklist.enums import TaskState
from jobs.worklist.models import ChecklistItem
from jobs.worklist.selectors import day_read
from jobs.worklist.selectors.minutes_taught import (
    ENOUGH_DAYS,
    changed_minutes,
    latest_days,
    minutes_taught,
)
from jobs.worklist.selectors.work_times import kind_of, work_times_of_days

from .trackday_lookup import trackday_or_404


@dataclass(frozen=True)
class KindOfWork:
    """One item of the checklists on one day. ``took``: minutes in the mean of ``times``."""

    item: ChecklistItem
    asked: int
    done: int
    skipped: int
    missed: int
    took: float | None
    times: int


@dataclass(frozen=True)
class TimesOfPerson:
    """What one person took, by item: the text, the planned minutes, the mean, how many times."""

    person: User
    rows: list[tuple[str, int, float, int]]


def day_times(request: SignedIn, trackday_id: int) -> HttpResponse:
    trackday = trackday_or_404(trackday_id)
    day = day_read(trackday)
    of_days = work_times_of_days(latest_days(Trackday.objects.filter(date__lte=trackday.date)))
    times, taught = of_days.get(trackday.pk, []), minutes_taught(of_days)
    people = [m.user for m in day.crew if request.user.is_tuner or m.user == request.user]
    kinds = kinds_of_work(day, times)
    context = {
        "trackday": trackday,
        "kinds": kinds,
        "people": [one for one in (_of_person(p, kinds, times) for p in people) if one.rows],
        "any_time": bool(times),
        "changed": changed_minutes(taught),
        "taught": taught,
        "enough": ENOUGH_DAYS,
    }
    return render(request, "board/day/day_times.html", context)


def kinds_of_work(day: Day, times: Sequence[WorkTime]) -> list[KindOfWork]:
    """Every item asked on the day, in the order of the checklists."""
    items: dict[str, ChecklistItem] = {}
    states: defaultdict[str, Counter[TaskState]] = defaultdict(Counter)
    for bike in day.bikes:
        for task in bike.tasks:
            if task.item.pk is not None:
                kind = _kind(task.item)
                items[kind] = task.item
                states[kind][task.state] += 1
    took = _minutes_by_kind(times)
    ordered = sorted(items, key=lambda k: (items[k].checklist.order, items[k].order, k))
    return [
        KindOfWork(
            item=items[kind],
            asked=states[kind].total(),
            done=states[kind][TaskState.DONE],
            skipped=states[kind][TaskState.SKIPPED],
            missed=states[kind][TaskState.MISSED],
            took=fmean(took[kind]) if took[kind] else None,
            times=len(took[kind]),
        )
        for kind in ordered
    ]


def _of_person(
    person: User, kinds: Iterable[KindOfWork], times: Iterable[WorkTime]
) -> TimesOfPerson:
    took = _minutes_by_kind(time for time in times if time.person == person.pk)
    rows = [
        (one.item.text, one.item.minutes, fmean(minutes), len(minutes))
        for one in kinds
        if (minutes := took[_kind(one.item)])
    ]
    return TimesOfPerson(person, rows)


def _kind(item: ChecklistItem) -> str:
    return kind_of(item.checklist.code, item.code)


def _minutes_by_kind(times: Iterable[WorkTime]) -> defaultdict[str, list[float]]:
    found: defaultdict[str, list[float]] = defaultdict(list)
    for time in times:
        found[time.kind].append(time.minutes)
    return found
