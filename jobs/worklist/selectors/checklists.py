"""Which checklists stand now, and which a day started with."""

from django.db.models import Exists, OuterRef, Q, QuerySet

from jobs.trackday.models import Trackday

from ..models import Checklist, ChecklistItem, DayChecklist


def checklists_current() -> QuerySet[Checklist]:
    """The newest version of every checklist in use."""
    return Checklist.objects.filter(retired_at=None).prefetch_related("items", "packages")


def items_of_day(trackday: Trackday) -> QuerySet[ChecklistItem]:
    """The items a day asks: of the versions it started with, or of today's until it starts."""
    kept = DayChecklist.objects.filter(trackday=trackday)
    started = Exists(kept)
    return (
        ChecklistItem.objects.filter(
            Q(Exists(kept.filter(checklist=OuterRef("checklist"))))
            | (~Q(started) & Q(checklist__retired_at=None))
        )
        .select_related("checklist")
        .prefetch_related("checklist__packages")
        .order_by("checklist__order", "checklist_id", "order", "pk")
    )
