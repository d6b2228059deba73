"""Minutes learned: how long each item of the checklists takes, from the marks of earlier days.

A day learns from the days before it, so its plan does not move with every tick. The mean of all
people is planned with, because the planner's tasks know no person.
"""

from decimal import Decimal

from jobs import planning
from jobs.trackday.models import Trackday
from jobs.trackday.services import revision_bump

from ..models import ChecklistItem
from ..selectors.work_times import kind_of, work_times_of_days
from .statements import experience_learn

ENOUGH_DAYS = 3  # with times taken, before they are planned with (simulated, see jobs.planning)
MOST_DAYS = 30  # the latest


def minutes_learn(*, before: Trackday) -> None:
    """Keep what the days before one teach with the items that stand and those of the day."""
    days = Trackday.objects.filter(date__lt=before.date).order_by("-date")
    earlier = list(days.values_list("pk", flat=True)[:MOST_DAYS])
    of_days = work_times_of_days(earlier)
    times = [time for day in of_days.values() for time in day]
    enough = sum(bool(day) for day in of_days.values()) >= ENOUGH_DAYS
    learned = planning.learned_minutes(times)
    items = list(
        ChecklistItem.objects.filter(checklist__retired_at=None).select_related("checklist")
    )
    for item in items:
        kind = kind_of(item.checklist.code, item.code)
        item.learned_marks = learned.count(kind)
        known = enough and item.learned_marks
        minutes = item.minutes * learned.mean(kind)
        item.learned_minutes = Decimal(f"{minutes:.1f}") if known else None
    ChecklistItem.objects.bulk_update(items, ["learned_minutes", "learned_marks"])
    experience_learn(before=before, earlier=earlier, spread=learned.spread)
    revision_bump(trackday_id=before.pk)
