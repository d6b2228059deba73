"""The trail: who gave personal data out, released a hold, changed money or rights.

A row holds numbers and a kind, never a name or a word, so nothing of it has to go when a
customer is removed. The database itself refuses to change or delete one
(``jobs/billing/triggers.py``). It is written in the transaction of what it tells.
"""

from collections.abc import Callable
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from .enums import TrailEvent
from .models import TrailEntry, User

PAGE = 100


def trail_note(event: TrailEvent, *, by: User | None, ref: object = "") -> TrailEntry:
    """``ref`` is the primary key of what the event says; ``by`` is None for nobody signed in:
    a customer by a link, or a command on the server."""
    return TrailEntry.objects.create(event=event, by=by, ref="" if ref is None else str(ref))


def noted(event: TrailEvent, by: User, service: Callable[..., Any]) -> Callable[..., Any]:
    """The service, with an entry of the trail about what it returns in its transaction."""

    @transaction.atomic
    def run(**values: Any) -> Any:
        made = service(**values)
        trail_note(event, by=by, ref=getattr(made, "pk", ""))
        return made

    return run


def trail_page(*, before: int | None = None, group: str = "") -> QuerySet[TrailEntry]:
    """The newest entries before one, of one group of events. One query."""
    rows = TrailEntry.objects.select_related("by")
    if before is not None:
        rows = rows.filter(pk__lt=before)
    if group:
        rows = rows.filter(event__startswith=f"{group}.")
    return rows[:PAGE]
