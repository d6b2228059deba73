"""Minutes learned: how long each item of the checklists takes, from the marks of earlier days.

A day learns from the days before it, so its plan does not move with every tick. The mean of all
people is planned with, because the planner's tasks know no person.
"""

from decimal import Decimal

from jobs.trackday.models import Trackday
from jobs.trackday.services import revision_bump

from ..models import ChecklistItem
from ..selectors.minutes_taught import items_that_learn, latest_days, minutes_taught
from ..selectors.work_times import kind_of, work_times_of_days
from .statements import experience_learn


def minutes_learn(*, before: Trackday) -> None:
    """Keep what the days before one teach with the items that stand and those of the day."""
    earlier = latest_days(Trackday.objects.filter(date__lt=before.date))
    taught = minutes_taught(work_times_of_days(earlier))
    items = list(items_that_learn())
    for item in items:
        kind = kind_of(item.checklist.code, item.code)
        minutes = taught.minutes(item.minutes, kind)
        item.learned_marks = taught.learned.count(kind)
        item.learned_minutes = None if minutes is None else Decimal(f"{minutes:.1f}")
    ChecklistItem.objects.bulk_update(items, ["learned_minutes", "learned_marks"])
    experience_learn(before=before, earlier=earlier, spread=taught.learned.spread)
    revision_bump(trackday_id=before.pk)
