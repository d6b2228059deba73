"""Rows entered on the wrong bike, put on the right one; the move stays on record."""

from collections.abc import Sequence

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from jobs.garage import words
from jobs.garage.models import Adjuster
from jobs.trackday.models import Entry

from .. import ledger
from ..enums import RowKind, RowState
from ..made import Made
from ..models import Adjustment, BikePhoto, BookRow, Finding, Measurement, Reading
from ..stops import made_at_stop
from .changes import adjustment_change, adjustment_count
from .undo import adjustment_withdraw, row_withdraw


@transaction.atomic
def rows_move(*, made: Made, rows: Sequence[BookRow], to: Entry) -> list[BookRow]:
    """Withdraw rows here and enter them on ``to``, by the same hand at the same time.

    Changes are taken back newest first and entered oldest first; one whose ``from`` does
    not fit the right bike is unplaced there. Readings and findings go with their numbers.
    """
    if not rows:
        raise ValidationError(_("Choose what belongs to the other bike."))
    for bike_id in sorted({_bike_id(row) for row in rows} | {to.bike_id}):
        ledger.bike_lock(bike_id)
    adjustments = _whole_acts([row for row in rows if isinstance(row, Adjustment)])
    for row in sorted(adjustments, key=lambda row: -(row.seq or 0)):
        row.refresh_from_db()
        if row.withdrawn_at is None:
            adjustment_withdraw(made=made, row=row)
    moved: list[BookRow] = [
        _adjustment_enter(made, row, to)
        for row in sorted(adjustments, key=lambda row: (row.accepted_at, row.seq or 0))
    ]
    for other in rows:
        if isinstance(other, Finding):
            moved += _finding_move(made, other, to)
        elif isinstance(other, Reading) or (
            isinstance(other, BikePhoto) and other.finding not in rows
        ):
            row_withdraw(made=made, row=other)
            moved.append(_copy(made, other, to))
    return moved


def _finding_move(made: Made, row: Finding, to: Entry) -> list[BookRow]:
    """A finding and the photos taken of it stay together."""
    photos = list(row.photos.filter(withdrawn_at=None))
    row_withdraw(made=made, row=row)
    copy = _copy(made, row, to)
    return [copy, *(_copy(made, photo, to, finding=copy) for photo in photos)]


def _whole_acts(rows: Sequence[Adjustment]) -> list[Adjustment]:
    """With one leg of a pair the other comes along: they were one act."""
    linked = {row.linked for row in rows if row.linked}
    others = Adjustment.objects.filter(linked__in=linked).exclude(pk__in=[row.pk for row in rows])
    return [*rows, *others.exclude(state=RowState.WITHDRAWN)]


def _bike_id(row: BookRow) -> int:
    return row.adjuster.bike_id if isinstance(row, Adjustment) else row.bike_id  # type: ignore[attr-defined]


def _hand(made: Made, row: BookRow, to: Entry) -> Made:
    """The doer and the time stay; the id is the move's own."""
    row_id = made.further(row.pk).id
    return made_at_stop(row_id=row_id, by=row.by, done_at=row.done_at, entry=to)


def _adjustment_enter(made: Made, row: Adjustment, to: Entry) -> Adjustment:
    adjuster = _same_adjuster(row.adjuster, to)
    hand = _hand(made, row, to)
    if row.kind == RowKind.CHANGE and row.from_position is not None:
        entered = adjustment_change(
            made=hand,
            adjuster=adjuster,
            from_position=row.from_position,
            to_position=row.to_position,
            reason=row.reason,
            step_reason=row.step_reason or _("moved from another bike"),
            second_reason=row.second_reason,
            oil=row.oil_state,
            oil_reason=row.oil_reason or _("moved from another bike"),
            tyre_state=row.tyre_state,
            linked=made.further(row.linked).id if row.linked else None,
        )
    else:
        entered = adjustment_count(
            made=hand,
            adjuster=adjuster,
            position=row.to_position,
            second_count=row.second_count,
            reason=row.reason,
            turned_by=row.turned_by,
        )
    entered.moved_from = row
    entered.save(update_fields=["moved_from"])
    for expectation in row.expectations.all():
        _copy(made, expectation, to, adjustment=entered)
    return entered


def _same_adjuster(adjuster: Adjuster, to: Entry) -> Adjuster:
    found = Adjuster.objects.filter(
        bike=to.bike_id, end=adjuster.end, leg=adjuster.leg, function=adjuster.function
    ).first()
    if found is None:
        raise ValidationError(
            _("%(bike)s has no adjuster “%(adjuster)s”; set it up there first.")
            % {"bike": to.bike, "adjuster": words.adjuster_name(adjuster)}
        )
    return found


def _copy(made: Made, row: BookRow, to: Entry, **changed: object) -> BookRow:
    """The row again, on the right bike, with its numbers."""
    model, hand = type(row), _hand(made, row, to)
    skipped = {"id", "by", "done_at", "entry", "session", "accepted_at", "bike", "moved_from",
               "withdrawn_at", "withdrawn_by"}  # fmt: skip
    kept = {
        field.name: getattr(row, field.name)
        for field in model._meta.concrete_fields
        if field.name not in skipped
    }
    if hasattr(row, "bike_id"):
        kept["bike"] = to.bike
    copy = model._default_manager.create(**{**kept, **changed, **hand.fields(), "moved_from": row})
    if isinstance(row, Reading):
        Measurement.objects.bulk_create(
            Measurement(reading_id=copy.pk, name=m.name, index=m.index, value=m.value,
                        unit=m.unit, canonical=m.canonical)
            for m in row.measurements.all()
        )  # fmt: skip
    return copy
