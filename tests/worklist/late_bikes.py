"""A day on which six booked bikes come 11 to 15 minutes before they roll, as it was seen."""

import json
from datetime import timedelta

from django.core.cache import cache

from jobs.trackday.services import crew_join
from jobs.worklist.selectors import day_read
from jobs.worklist.services import checklists_load, day_checklists_keep, plan_refresh
from tests.acts.doing import clock_set, do
from tests.conftest import Cast
from tests.days import Day, day_build, local
from tests.shape.source import ROOT

ROLL = local(9)
MINUTES_BEFORE = (15, 14, 13, 12, 12, 11)  # at which the bikes come, one after another


def late_day(cast: Cast, bikes: int = 6) -> Day:
    """They are all of the first group; it is 08:40 and nobody has come."""
    cache.clear()
    checklists_load(lists=json.loads((ROOT / "fixtures" / "checklists.json").read_text()))
    day = day_build(bikes=bikes, at=local(8, 40))
    for entry in day.entries:
        entry.group = day.groups[0]
        entry.save(update_fields=["group"])
    for user in (cast.tuner, cast.helper):
        crew_join(trackday=day.trackday, user=user)
    day_checklists_keep(trackday=day.trackday)
    return day


def all_come(day: Day, cast: Cast) -> None:
    """Each is said to have come in its minute; a page plans the day after each of them."""
    for entry, minutes in zip(day.entries, MINUTES_BEFORE, strict=False):
        clock_set(day.trackday, ROLL - timedelta(minutes=minutes))
        do("arrived", cast.helper, day.trackday, entry=entry.pk)
        plan_refresh(day=day_read(day.trackday))
