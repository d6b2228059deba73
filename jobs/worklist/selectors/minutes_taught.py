"""What days teach of the minutes that work takes, and what that changes for the next booking."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from jobs import planning
from jobs.planning import LearnedMinutes, WorkTime
from jobs.trackday.models import Trackday

from ..models import ChecklistItem
from .work_times import kind_of

ENOUGH_DAYS = 3  # with times taken, before they are planned with (simulated, see jobs.planning)
MOST_DAYS = 30  # the latest


@dataclass(frozen=True)
class MinutesTaught:
    """``enough``: there are days enough for the minutes to be planned with."""

    learned: LearnedMinutes
    enough: bool

    def minutes(self, checklist: int, kind: str) -> float | None:
        """What an item takes in the mean; None: too little is known of it."""
        if not self.enough or not self.learned.count(kind):
            return None
        return checklist * self.learned.mean(kind)


@dataclass(frozen=True)
class ChangedMinutes:
    """An item that will be planned with other minutes, and from how many times."""

    item: ChecklistItem
    before: int
    after: int
    times: int


def latest_days(days: QuerySet[Trackday]) -> list[int]:
    return list(days.order_by("-date", "-pk").values_list("pk", flat=True)[:MOST_DAYS])


def minutes_taught(of_days: Mapping[int, Sequence[WorkTime]]) -> MinutesTaught:
    """What the times of some days teach."""
    times = [time for day in of_days.values() for time in day]
    enough = sum(bool(day) for day in of_days.values()) >= ENOUGH_DAYS
    return MinutesTaught(planning.learned_minutes(times), enough)


def items_that_learn() -> QuerySet[ChecklistItem]:
    """Those of the checklists that stand."""
    return ChecklistItem.objects.filter(checklist__retired_at=None).select_related("checklist")


def changed_minutes(taught: MinutesTaught) -> list[ChangedMinutes]:
    """The items that the next day will be planned and booked with other minutes for."""
    found = []
    for item in items_that_learn():
        kind = kind_of(item.checklist.code, item.code)
        minutes = taught.minutes(item.minutes, kind)
        if minutes is None or item.minutes_by_hand:
            continue
        after = max(1, round(minutes))
        if after != item.planned_minutes:
            times = taught.learned.count(kind)
            found.append(ChangedMinutes(item, item.planned_minutes, after, times))
    return found
