"""Whether a bike has been out without its arrival check, without reading the whole day."""

from django.db.models import Exists, OuterRef, Q

from jobs.trackday.models import Entry

from ..enums import Cadence, Mark
from ..models import TaskMark
from .checklists import items_of_day


def arrival_checks_unmade(entry: Entry) -> bool:
    """Whether a safety check asked for on arrival is not made: one query.

    A check with a rule of its own, which may not be asked for, is left to ``BikeDay``.
    """
    made = TaskMark.objects.filter(
        entry=entry, item=OuterRef("pk"), mark=Mark.DONE, withdrawn_at=None
    )
    asked = items_of_day(entry.trackday).filter(safety=True, cadence=Cadence.ONCE, only_if="")
    if entry.package.advice_only:
        asked = asked.filter(for_advice=True)
    of_package = Q(checklist__packages=None) | Q(checklist__packages=entry.package_id)
    return asked.filter(of_package, ~Exists(made)).exists()
