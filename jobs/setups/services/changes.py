"""Counting an adjuster, moving it on purpose, and reading it back."""

import uuid
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from jobs.garage import words
from jobs.garage.enums import Function
from jobs.garage.models import Adjuster

from .. import ledger, limits
from ..enums import RowKind, RowState
from ..models import Adjustment, Finding, Order
from ..origin import RowOrigin
from ..stops import check_oil_reason, oil_state
from .springs import spring_figure_write


@transaction.atomic
def adjustment_change(
    *,
    origin: RowOrigin,
    adjuster: Adjuster,
    from_position: Decimal,
    to_position: Decimal,
    reason: str = "",
    finding: Finding | None = None,
    oil: str = "",
    oil_reason: str = "",
    step_reason: str = "",
    second_reason: str = "",
    tyre_state: str = "",
    order: Order | None = None,
    linked: uuid.UUID | None = None,
    rests_on: uuid.UUID | None = None,
) -> Adjustment:
    """Write one adjuster moved on purpose.

    ``from_position`` is where the doer says it stood. Where the book says otherwise, or
    the change was built upon ``rests_on`` and that row is unplaced, the change is kept
    unplaced: it moves nothing until a person places or withdraws it. A tyre pressure's
    ``from`` is what the gauge read, and the change is always placed.

    ``reason`` and ``finding`` are what the doer, or the order, says it is for. Customers and
    invoices repeat them, so they are never filled in by guess.

    ``second_reason``: why it could not wait for the change before it on that end to be
    judged. It is asked for and may be left out: a change that was made is always written.

    Raises ValidationError for a broken adjuster, a position between steps or past the
    counted range, a step over the usual without ``step_reason``, an ``oil`` state that
    overrules the derived one without ``oil_reason``.
    """
    adjuster = ledger.adjuster_lock(adjuster)
    limits.check_usable(adjuster)
    limits.check_on_step(adjuster, to_position)
    limits.check_in_range(adjuster, to_position)
    limits.check_small_step(adjuster, from_position, to_position, step_reason)
    if from_position == to_position:
        raise ValidationError(_("From and to are the same: nothing was changed."))
    fields = {
        "kind": RowKind.CHANGE,
        "from_position": from_position,
        "to_position": to_position,
        "oil_state": _oil(origin, oil, oil_reason),
        "oil_reason": oil_reason,
        "tyre_state": tyre_state or (order.tyre_state if order else ""),
        "reason": reason or (order.reason if order else ""),
        "finding": finding or (order.finding if order else None),
        "step_reason": step_reason,
        "second_reason": second_reason or (order.second_reason if order else ""),
        "order": order,
        "linked": linked,
    }
    end = ledger.ledger_end(adjuster)
    why = _why_unplaced(adjuster, from_position, rests_on, end.placed)
    if why:
        return ledger.row_keep_unplaced(origin=origin, adjuster=adjuster, why=why, **fields)
    return _appended(origin, adjuster, end.next_seq, fields)


@transaction.atomic
def adjustment_count(
    *,
    origin: RowOrigin,
    adjuster: Adjuster,
    position: Decimal,
    second_count: Decimal | None = None,
    highest: Decimal | None = None,
    turned_by: str = "",
    reason: str = "",
    oil: str = "",
    linked: uuid.UUID | None = None,
) -> Adjustment:
    """Write where an adjuster was found. The count is the truth and is always placed.

    The first count of an entry is its baseline, any later one a recount. ``highest`` is
    the range counted on this bike; a position past the known range needs it.
    """
    adjuster = ledger.adjuster_lock(adjuster)
    if highest is not None:
        _range_count(adjuster, highest)
    for counted in (position, second_count):
        if counted is not None:
            limits.check_on_step(adjuster, counted)
            limits.check_in_range(adjuster, counted)
    end = ledger.ledger_end(adjuster)
    last = end.placed
    fields = {
        "kind": _count_kind(origin, adjuster, last),
        "from_position": last.to_position if last else None,
        "to_position": position,
        "second_count": second_count,
        "turned_by": turned_by,
        "reason": reason,
        "oil_state": _oil(origin, oil, "counted"),
        "linked": linked,
    }
    return _appended(origin, adjuster, end.next_seq, fields)


@transaction.atomic
def adjustment_read_back(*, origin: RowOrigin, row: Adjustment, position: Decimal) -> Adjustment:
    """Write that the position was counted again after a change.

    A different count is a recount beside it: the book then stands where it was found.
    """
    adjuster = ledger.adjuster_lock(row.adjuster)
    row = Adjustment.objects.get(pk=row.pk)
    last = ledger.last_placed(adjuster)
    if row.state != RowState.PLACED or last is None or last.pk != row.pk:
        raise ValidationError(_("This change is no longer the last one: count the adjuster anew."))
    limits.check_on_step(adjuster, position)
    limits.check_in_range(adjuster, position)
    row.read_back, row.read_back_by, row.read_back_at = position, origin.by, origin.done_at
    row.save(update_fields=["read_back", "read_back_by", "read_back_at"])
    if position != row.to_position:
        adjustment_count(
            origin=origin,
            adjuster=adjuster,
            position=position,
            reason=_("read back after the change"),
        )
    return row


def _appended(
    origin: RowOrigin, adjuster: Adjuster, seq: int, fields: dict[str, Any]
) -> Adjustment:
    row = ledger.row_append(origin=origin, adjuster=adjuster, seq=seq, **fields)
    spring_figure_write(adjuster=adjuster)
    return row


def _range_count(adjuster: Adjuster, highest: Decimal) -> None:
    if highest <= adjuster.lowest:
        raise ValidationError(
            _("The counted range must end above %(low)s.") % {"low": words.plain(adjuster.lowest)}
        )
    if not adjuster.range_counted:
        adjuster.listed_highest = adjuster.highest
    adjuster.highest, adjuster.range_counted = highest, True
    adjuster.save(update_fields=["highest", "listed_highest", "range_counted"])


def _count_kind(origin: RowOrigin, adjuster: Adjuster, last: Adjustment | None) -> RowKind:
    if last is None:
        return RowKind.BASELINE
    if origin.entry is None:
        return RowKind.RECOUNT
    known = Adjustment.objects.filter(
        adjuster=adjuster, entry=origin.entry, state=RowState.PLACED
    ).exists()
    return RowKind.RECOUNT if known else RowKind.BASELINE


def _why_unplaced(
    adjuster: Adjuster,
    from_position: Decimal,
    rests_on: uuid.UUID | None,
    last: Adjustment | None,
) -> str:
    if adjuster.function == Function.TYRE_PRESSURE:
        return ""
    if ledger.rests_on_unplaced(rests_on):
        return _("It was made on top of a change that is not placed.")
    if not limits.in_range(adjuster, from_position):
        if adjuster.range_counted:
            text = _("It starts from %(from)s, past the counted range: count the range again.")
        else:
            text = _("It starts from %(from)s, past the listed range: count the range.")
        return text % {"from": words.position(adjuster, from_position)}
    if last is None or last.to_position == from_position:
        return ""
    return _("It starts from %(from)s, but the book says %(book)s.") % {
        "from": words.position(adjuster, from_position),
        "book": words.position(adjuster, last.to_position),
    }


def _oil(origin: RowOrigin, said: str, said_because: str) -> str:
    """The derived oil state, unless a person overruled it and said why."""
    derived = _derived_oil(origin)
    if not said or said == derived:
        return derived
    if derived:
        check_oil_reason(derived=derived, said=said, because=said_because)
    return said


def _derived_oil(origin: RowOrigin) -> str:
    if origin.entry is None:
        return ""
    return oil_state(origin.minutes_since_stop)
