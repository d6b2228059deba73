"""Taking back, and placing what came too late to fit."""

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from jobs.garage import words

from .. import ledger, limits
from ..enums import RowKind, RowState
from ..made import Made
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
def adjustment_place(*, made: Made, row: Adjustment) -> Adjustment:
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
    tail = ledger.tail(adjuster)
    last, seq = tail.placed, tail.next_seq
    if last is not None and last.to_position != row.from_position and row.from_position is not None:
        ledger.row_append(
            made=_found_before(made, row),
            adjuster=adjuster,
            seq=seq,
            kind=RowKind.RECOUNT,
            from_position=last.to_position,
            to_position=row.from_position,
            reason=_("as found by the doer of the change placed after it"),
        )
        seq += 1
    row.state, row.seq, row.placed_by = RowState.PLACED, seq, made.by
    row.save(update_fields=["state", "seq", "placed_by"])
    return row


@transaction.atomic
def adjustment_withdraw(*, made: Made, row: Adjustment) -> list[Adjustment]:
    """Strike a change or a count through, with every row of the same act.

    Refused while something rests on it: a later row of the adjuster, or a judgement.
    """
    ledger.bike_lock(row.adjuster.bike_id)
    rows = list(_of_one_act(row).select_related("adjuster"))
    for one in rows:
        _withdraw_one(made, one)
    return rows


def row_withdraw(*, made: Made, row: BookRow) -> None:
    """Strike a reading, a finding with its photos ... through; an order with all its legs."""
    if row.withdrawn_at is not None:
        raise ValidationError(_("This was already withdrawn."))
    if isinstance(row, Expectation) and row.judgements.filter(withdrawn_at=None).exists():
        raise ValidationError(_("This was judged already: take the judgement back first."))
    if isinstance(row, Order):
        _order_withdraw(made, row)
        return
    if isinstance(row, Finding):
        for photo in row.photos.filter(withdrawn_at=None):
            _strike(made, photo)
    _strike(made, row)


def _order_withdraw(made: Made, row: Order) -> None:
    act = Order.objects.filter(linked=row.linked) if row.linked else Order.objects.filter(pk=row.pk)
    if Adjustment.objects.filter(order__in=act).exclude(state=RowState.WITHDRAWN).exists():
        raise ValidationError(_("This order was done: take the change back first."))
    for one in act.filter(withdrawn_at=None):
        _strike(made, one)


def row_restore(*, row: BookRow) -> None:
    """What struck it through was itself taken back: the row stands as before."""
    row.withdrawn_at = row.withdrawn_by = None
    row.save(update_fields=["withdrawn_at", "withdrawn_by"])


def _of_one_act(row: Adjustment) -> QuerySet[Adjustment]:
    if row.linked is None:
        return Adjustment.objects.filter(pk=row.pk)
    return Adjustment.objects.filter(linked=row.linked).exclude(state=RowState.WITHDRAWN)


def _withdraw_one(made: Made, row: Adjustment) -> None:
    if row.state == RowState.WITHDRAWN:
        raise ValidationError(_("This was already withdrawn."))
    if row.state == RowState.PLACED:
        _check_nothing_rests_on(row)
    row.state = RowState.WITHDRAWN
    row.save(update_fields=["state"])
    _strike(made, row)
    for expectation in row.expectations.filter(withdrawn_at=None):
        _strike(made, expectation)
    _withdraw_what_was_found_before(made, row)


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


def _withdraw_what_was_found_before(made: Made, row: Adjustment) -> None:
    """The "found at" that placing wrote goes with the change it was written for."""
    before = Adjustment.objects.filter(
        pk=_found_before(made, row).id, state=RowState.PLACED
    ).first()
    if before is not None:
        before.state = RowState.WITHDRAWN
        before.save(update_fields=["state"])
        _strike(made, before)


def _found_before(made: Made, row: Adjustment) -> Made:
    """Its id hangs on the change, not on the act that placed it."""
    here = Made(id=row.pk, by=made.by, done_at=made.done_at, entry=row.entry, session=row.session)
    return here.further("found before")


def _strike(made: Made, row: BookRow) -> None:
    row.withdrawn_at, row.withdrawn_by = made.done_at, made.by
    row.save(update_fields=["withdrawn_at", "withdrawn_by"])
