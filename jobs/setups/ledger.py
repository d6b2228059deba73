"""The rows of one adjuster in the server's order: where it stands, and the next place.

Writers lock the bike's row first (on SQLite every transaction already holds the one write
lock), so what they read here stays true until they commit. ``UNIQUE(adjuster, seq)``
refuses whoever did not.
"""

import uuid
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet

from jobs.garage.models import Adjuster, Bike

from .enums import RowState
from .models import Adjustment
from .origin import RowOrigin


@dataclass(frozen=True)
class LedgerEnd:
    """The end of an adjuster's rows: the one it stands at, and the next place."""

    placed: Adjustment | None
    next_seq: int


def adjuster_lock(adjuster: Adjuster) -> Adjuster:
    """The adjuster as it is now, its bike's row locked until the transaction ends."""
    bike_lock(adjuster.bike_id)
    return Adjuster.objects.get(pk=adjuster.pk)


def bike_lock(bike_id: int) -> None:
    """One at a time writes to a bike's rows, until the transaction ends."""
    Bike.objects.select_for_update(no_key=True).only("pk").get(pk=bike_id)


def _rows(adjuster: Adjuster) -> QuerySet[Adjustment]:
    """Latest first, with what tells where the adjuster stands."""
    rows = Adjustment.objects.filter(adjuster=adjuster).order_by("-seq")
    return rows.only("state", "seq", "to_position")


def last_placed(adjuster: Adjuster) -> Adjustment | None:
    """The row the adjuster stands at."""
    return _rows(adjuster).filter(state=RowState.PLACED).first()


def ledger_end(adjuster: Adjuster) -> LedgerEnd:
    """Where the rows end: one query, two after a withdrawn row, which keeps its place."""
    last = _rows(adjuster).filter(seq__isnull=False).first()
    if last is None:
        return LedgerEnd(None, 1)
    placed = last if last.state == RowState.PLACED else last_placed(adjuster)
    assert last.seq is not None
    return LedgerEnd(placed, last.seq + 1)


def row_append(*, origin: RowOrigin, adjuster: Adjuster, seq: int, **fields: Any) -> Adjustment:
    """Write a row at ``seq``, behind all others."""
    return Adjustment.objects.create(
        **origin.fields(), adjuster=adjuster, state=RowState.PLACED, seq=seq, **fields
    )


def row_keep_unplaced(
    *, origin: RowOrigin, adjuster: Adjuster, why: str, **fields: Any
) -> Adjustment:
    """Write a row that moves nothing until a person places or withdraws it."""
    return Adjustment.objects.create(
        **origin.fields(),
        adjuster=adjuster,
        state=RowState.UNPLACED,
        unplaced_why=why,
        **fields,
    )


def rests_on_unplaced(row_id: uuid.UUID | None) -> bool:
    """Whether the row a device built upon is itself waiting for a person."""
    if row_id is None:
        return False
    return Adjustment.objects.filter(pk=row_id, state=RowState.UNPLACED).exists()
