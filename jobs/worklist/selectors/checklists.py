"""Which checklists stand now, and which a day started with."""

from collections.abc import Iterable

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from jobs.trackday.models import ServicePackage, Trackday

from ..models import Checklist, ChecklistItem, DayChecklist


def checklists_current() -> QuerySet[Checklist]:
    """The newest version of every checklist in use."""
    return Checklist.objects.filter(retired_at=None).prefetch_related("items", "packages")


def checklists_asked_by(
    package: ServicePackage, checklists: Iterable[Checklist]
) -> list[Checklist]:
    """Those of ``checklists`` that are for this package; one without packages is for all.

    They come with their packages read (see ``checklists_current``).
    """
    found = []
    for checklist in checklists:
        only = {one.pk for one in checklist.packages.all()}
        if not only or package.pk in only:
            found.append(checklist)
    return found


def checklists_only_for(package: ServicePackage) -> QuerySet[Checklist]:
    """Checklists, earlier versions too, that no other package asks for."""
    return Checklist.objects.annotate(asked_by=Count("packages")).filter(
        asked_by=1, pk__in=Checklist.objects.filter(packages=package).values("pk")
    )


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
