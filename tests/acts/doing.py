"""Doing acts in tests the way every screen does them: through the one door."""

import uuid
from datetime import datetime, timedelta
from typing import Any

from jobs.acts.models import Act
from jobs.acts.services import act_apply
from jobs.garage.models import Adjuster
from jobs.people.models import User
from jobs.trackday.models import Entry, Trackday
from jobs.worklist.bikes import BikeDay
from jobs.worklist.derive import Task
from jobs.worklist.models import ChecklistItem
from jobs.worklist.selectors import day_read, items_of_day


def clock_set(trackday: Trackday, at: datetime) -> None:
    """Let it be ``at`` at this trackday from now on."""
    trackday.clock_anchor = trackday.clock_set_at = at
    trackday.save(update_fields=["clock_anchor", "clock_set_at"])


def do(kind: str, by: User, day: Trackday, /, **payload: Any) -> Act:
    day.refresh_from_db()
    return act_apply(act_id=uuid.uuid4(), kind=kind, payload=payload, by=by, trackday=day)


def item(trackday: Trackday, code: str) -> ChecklistItem:
    return items_of_day(trackday).get(code=code)


def tick(code: str, by: User, entry: Entry, session: int | None = None, **more: Any) -> Act:
    day = entry.trackday
    which = item(day, code)
    if which.points and "points" not in more:
        more["points"] = {point["code"]: "pass" for point in which.points}
    return do("tick", by, day, entry=entry.pk, session=session, item=which.pk, **more)


def bike_now(entry: Entry, at: datetime | None = None) -> BikeDay:
    day = Trackday.objects.select_related("venue").get(pk=entry.trackday_id)
    return day_read(day, at).by_entry[entry.pk]


def task_now(entry: Entry, code: str, session: int | None = None) -> Task:
    return next(
        task
        for task in bike_now(entry).tasks
        if task.item.code == code and task.session_id == session
    )


def pre_grid(entry: Entry) -> Task:
    """The pre-grid check of its next outing that is listed."""
    return next(task for task in bike_now(entry).tasks if task.item.code == "pre-grid")


def rebound_changed(day: Trackday, entry: Entry, by: User, **more: Any) -> Act:
    """Rear rebound from 14 to 11 clicks."""
    rear = Adjuster.objects.get(bike=entry.bike_id, end="rear", function="rebound")
    do("count", by, day, entry=entry.pk, counts=[{"adjuster": rear.pk, "position": "14"}])
    move = {"adjuster": rear.pk, "from_position": "14", "to_position": "11"}
    return do("change", by, day, entry=entry.pk, moves=[move], reason="kicks", **more)


def minutes(count: float) -> timedelta:
    return timedelta(minutes=count)
