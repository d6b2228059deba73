"""How long work took on days, from the marks that people made."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime

from jobs import planning
from jobs.planning import WorkMark, WorkTime
from jobs.trackday.selectors import rolls_of_days

from ..models import TaskMark

READ = (
    *("task_id", "entry_id", "entry__trackday_id", "entry__group_id", "by_id", "mark"),
    *("item__code", "item__checklist__code", "item__minutes", "item__people"),
    *("done_at", "accepted_at"),
)


def work_times_of_days(trackdays: Iterable[int]) -> dict[int, list[WorkTime]]:
    """By trackday, the times that can be taken. Four queries."""
    days = list(trackdays)
    marks: defaultdict[int, list[WorkMark]] = defaultdict(list)
    groups: defaultdict[int, dict[planning.model.Id, int]] = defaultdict(dict)
    standing = TaskMark.objects.filter(entry__trackday__in=days, withdrawn_at=None)
    for row in standing.values(*READ):
        day = row["entry__trackday_id"]
        groups[day][row["entry_id"]] = row["entry__group_id"]
        marks[day].append(
            WorkMark(
                task=str(row["task_id"]),
                bike=row["entry_id"],
                kind=kind_of(row["item__checklist__code"], row["item__code"]),
                person=row["by_id"],
                mark=row["mark"],
                at=_minutes(row["done_at"]),
                received=_minutes(row["accepted_at"]),
                planned=row["item__minutes"],
                people=row["item__people"],
            )
        )
    rolls = {g: [_minutes(roll) for roll in of_one] for g, of_one in rolls_of_days(days).items()}
    return {
        day: planning.work_times(
            found, {bike: rolls.get(group, []) for bike, group in groups[day].items()}
        )[0]
        for day, found in marks.items()
    }


def kind_of(checklist: str, item: str) -> str:
    """An item through all versions of its checklist."""
    return f"{checklist}/{item}"


def _minutes(moment: datetime) -> float:
    return moment.timestamp() / 60
