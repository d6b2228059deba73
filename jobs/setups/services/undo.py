"""Withdrawing rows, and placing changes that were kept unplaced."""

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from jobs.garage import words

from .. import ledger, limits
from ..enums import RowKind, RowState
from ..models import (
    Adjustment,
    BikePhoto,
    BookRow,
    Expectation,
    Finding,
    Judgement,
    KeptSetup,
    Order,
    Reading,
)
from ..origin import RowOrigin
from .springs import spring_figure_write

PLAIN_ROWS: tuple[type[BookRow], ...] = (
    Reading,
    Finding,
    Judgement,
    Expectation,
    Order,
    KeptSetup,
    BikePhoto,
)


@transaction.atomic
def adjustment_place(*, origin: RowOrigin, row: Adjustment) -> Adjustment:
    """A person says an unplaced change did happen: the adjuster stands at its ``to``.

    Where the book stood elsewhere than the change's ``from``, that is written first, as
    "found at": the chain of positions never has a gap. Refused while it would lead past
    the counted range: the range is counted first.
    """
    adjuster = ledger.adjuster_lock(row.adjuster)
    row = Adjustment.objects.get(pk=row.pk)
    if row.state != RowState.UNPLACED:
        raise ValidationError(_("This change is not waiting to be placed."))
    for position in (row.from_position, row.to_position):
        if position is not None:
            limits.check_in_range(adjuster, position)
    end = ledger.ledger_end(adjuster)
    last, seq = end.placed, end.next_seq
    if last is not None and last.to_position != row.from_position and row.from_position is not None:
        ledger.row_append(
            origin=_found_before(origin, row),
            adjuster=adjuster,
            seq=seq,
            kind=RowKind.RECOUNT,
            from_position=last.to_position,
            to_position=row.from_position,
            reason=_("as found by the doer of the change placed after it"),
        )
        seq += 1
    row.state, row.seq, row.placed_by = RowState.PLACED, seq, origin.by
    row.save(update_fields=["state", "seq", "placed_by"])
    spring_figure_write(adjuster=adjuster)
    return row


@transaction.atomic
def adjustment_withdraw(*, origin: RowOrigin, row: Adjustment) -> list[Adjustment]:
    """Strike a change or a count through, with every row of the same act.

    Refused while something rests on it: a later row of the adjuster, or a judgement.
    """
    ledger.bike_lock(row.adjuster.bike_id)
    rows = list(_of_one_act(row).select_related("adjuster"))
    if not rows:
        raise ValidationError(_("This was already withdrawn."))
    for one in rows:
        _withdraw_one(origin, one)
    return rows


@transaction.atomic
def row_withdraw(*, origin: RowOrigin, row: BookRow) -> None:
    """Strike a reading, a finding with its photos ... through; an order with all its legs."""
    locked = type(row)._default_manager.select_for_update(no_key=True)
    row.refresh_from_db(fields=["withdrawn_at"], from_queryset=locked)
    if row.withdrawn_at is not None:
        raise ValidationError(_("This was already withdrawn."))
    if isinstance(row, Expectation) and row.judgements.filter(withdrawn_at=None).exists():
        raise ValidationError(_("This was judged already: take the judgement back first."))
    if isinstance(row, Order):
        _order_withdraw(origin, row)
        return
    if isinstance(row, Finding):
        for photo in row.photos.filter(withdrawn_at=None):
            _strike(origin, photo)
    _strike(origin, row)


def _order_withdraw(origin: RowOrigin, row: Order) -> None:
    act = Order.objects.filter(linked=row.linked) if row.linked else Order.objects.filter(pk=row.pk)
    if Adjustment.objects.filter(order__in=act).exclude(state=RowState.WITHDRAWN).exists():
        raise ValidationError(_("This order was done: take the change back first."))
    for one in act.filter(withdrawn_at=None):
        _strike(origin, one)


def row_restore(*, row: BookRow) -> None:
    """Undo a withdrawal: the row counts again."""
    row.withdrawn_at = row.withdrawn_by = None
    row.save(update_fields=["withdrawn_at", "withdrawn_by"])


def _of_one_act(row: Adjustment) -> QuerySet[Adjustment]:
    if row.linked is None:
        return Adjustment.objects.filter(pk=row.pk)
    return Adjustment.objects.filter(linked=row.linked).exclude(state=RowState.WITHDRAWN)


def _withdraw_one(origin: RowOrigin, row: Adjustment) -> None:
    if row.state == RowState.WITHDRAWN:
        raise ValidationError(_("This was already withdrawn."))
    if row.state == RowState.PLACED:
        _check_nothing_rests_on(row)
    row.state = RowState.WITHDRAWN
    row.save(update_fields=["state"])
    _strike(origin, row)
    for expectation in row.expectations.filter(withdrawn_at=None):
        _strike(origin, expectation)
    _withdraw_what_was_found_before(origin, row)
    spring_figure_write(adjuster=row.adjuster)


def _check_nothing_rests_on(row: Adjustment) -> None:
    last = ledger.last_placed(row.adjuster)
    if last is not None and last.pk != row.pk:
        raise ValidationError(
            _("%(adjuster)s was moved or counted since, to %(position)s: take that back first.")
            % {
                "adjuster": words.adjuster_name(row.adjuster),
                "position": words.position(row.adjuster, last.to_position),
            }
        )
    if Judgement.objects.filter(expectation__adjustment=row, withdrawn_at=None).exists():
        raise ValidationError(_("What this change should do was judged: take that back first."))


def _withdraw_what_was_found_before(origin: RowOrigin, row: Adjustment) -> None:
    """Withdraw too the "found at" row that placing this change wrote."""
    before = Adjustment.objects.filter(
        pk=_found_before(origin, row).id, state=RowState.PLACED
    ).first()
    if before is not None:
        before.state = RowState.WITHDRAWN
        before.save(update_fields=["state"])
        _strike(origin, before)


def _found_before(origin: RowOrigin, row: Adjustment) -> RowOrigin:
    """Its id derives from the change, not from the act that placed it."""
    here = RowOrigin(
        id=row.pk, by=origin.by, done_at=origin.done_at, entry=row.entry, session=row.session
    )
    return here.further("found before")


def _strike(origin: RowOrigin, row: BookRow) -> None:
    row.withdrawn_at, row.withdrawn_by = origin.done_at, origin.by
    row.save(update_fields=["withdrawn_at", "withdrawn_by"])
