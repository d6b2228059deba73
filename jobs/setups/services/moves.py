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
from ..models import Adjustment, BikePhoto, BookRow, Expectation, Finding, Measurement, Reading
from ..origin import RowOrigin
from ..stops import origin_at_stop
from .changes import adjustment_change, adjustment_count
from .undo import adjustment_withdraw, row_withdraw


@transaction.atomic
def rows_move(*, origin: RowOrigin, rows: Sequence[BookRow], to: Entry) -> list[BookRow]:
    """Withdraw rows here and enter them on ``to``, by the same person and at the same time.

    Changes are taken back newest first and entered oldest first; one whose ``from`` does
    not fit the right bike is unplaced there. Readings and findings go with their numbers.
    A row that was withdrawn meanwhile, or moved by somebody else, is not entered again.
    """
    if not rows:
        raise ValidationError(_("Choose what belongs to the other bike."))
    for bike_id in sorted({_bike_id(row) for row in rows} | {to.bike_id}):
        ledger.bike_lock(bike_id)
    for row in rows:  # read again under the lock: another tablet may have withdrawn it
        row.refresh_from_db(fields=["withdrawn_at"])
        if row.withdrawn_at is not None:
            raise ValidationError(
                _("Withdrawn already, so it cannot be moved: %(what)s") % {"what": row}
            )
    adjustments = _whole_acts([row for row in rows if isinstance(row, Adjustment)])
    expected = {row.pk: list(row.expectations.filter(withdrawn_at=None)) for row in adjustments}
    for row in sorted(adjustments, key=lambda row: -(row.seq or 0)):
        row.refresh_from_db()
        if row.withdrawn_at is None:
            adjustment_withdraw(origin=origin, row=row)
    moved: list[BookRow] = [
        _adjustment_enter(origin, row, to, expected[row.pk])
        for row in sorted(adjustments, key=lambda row: (row.accepted_at, row.seq or 0))
    ]
    for other in rows:
        if isinstance(other, Finding):
            moved += _finding_move(origin, other, to)
        elif isinstance(other, Reading) or (
            isinstance(other, BikePhoto) and other.finding not in rows
        ):
            row_withdraw(origin=origin, row=other)
            moved.append(_copy(origin, other, to))
    return moved


def _finding_move(origin: RowOrigin, row: Finding, to: Entry) -> list[BookRow]:
    """A finding and the photos taken of it stay together."""
    photos = list(row.photos.filter(withdrawn_at=None))
    row_withdraw(origin=origin, row=row)
    copy = _copy(origin, row, to)
    return [copy, *(_copy(origin, photo, to, finding=copy) for photo in photos)]


def _whole_acts(rows: Sequence[Adjustment]) -> list[Adjustment]:
    """With one leg of a pair the other comes along: they were one act."""
    linked = {row.linked for row in rows if row.linked}
    others = Adjustment.objects.filter(linked__in=linked).exclude(pk__in=[row.pk for row in rows])
    return [*rows, *others.exclude(state=RowState.WITHDRAWN)]


def _bike_id(row: BookRow) -> int:
    return row.adjuster.bike_id if isinstance(row, Adjustment) else row.bike_id  # type: ignore[attr-defined]


def _origin_on(origin: RowOrigin, row: BookRow, to: Entry) -> RowOrigin:
    """The doer and the time stay; the id is the move's own."""
    row_id = origin.further(row.pk).id
    return origin_at_stop(row_id=row_id, by=row.by, done_at=row.done_at, entry=to)


def _adjustment_enter(
    origin: RowOrigin, row: Adjustment, to: Entry, expected: Sequence[Expectation]
) -> Adjustment:
    """Enter a change or a count on ``to``, with what was expected of it until now."""
    adjuster = _same_adjuster(row.adjuster, to)
    moved_origin = _origin_on(origin, row, to)
    if row.kind == RowKind.CHANGE and row.from_position is not None:
        entered = adjustment_change(
            origin=moved_origin,
            adjuster=adjuster,
            from_position=row.from_position,
            to_position=row.to_position,
            reason=row.reason,
            step_reason=row.step_reason or _("moved from another bike"),
            second_reason=row.second_reason,
            oil=row.oil_state,
            oil_reason=row.oil_reason or _("moved from another bike"),
            tyre_state=row.tyre_state,
            linked=origin.further(row.linked).id if row.linked else None,
        )
    else:
        entered = adjustment_count(
            origin=moved_origin,
            adjuster=adjuster,
            position=row.to_position,
            second_count=row.second_count,
            reason=row.reason,
            turned_by=row.turned_by,
            linked=origin.further(row.linked).id if row.linked else None,
        )
    entered.moved_from = row
    entered.save(update_fields=["moved_from"])
    for expectation in expected:
        _copy(origin, expectation, to, adjustment=entered)
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


def _copy(origin: RowOrigin, row: BookRow, to: Entry, **changed: object) -> BookRow:
    """The row again, on the right bike, with its numbers."""
    model, moved_origin = type(row), _origin_on(origin, row, to)
    skipped = {"id", "by", "done_at", "entry", "session", "accepted_at", "bike", "moved_from",
               "withdrawn_at", "withdrawn_by"}  # fmt: skip
    kept = {
        field.name: getattr(row, field.name)
        for field in model._meta.concrete_fields
        if field.name not in skipped
    }
    if hasattr(row, "bike_id"):
        kept["bike"] = to.bike
    copy = model._default_manager.create(
        **{**kept, **changed, **moved_origin.fields(), "moved_from": row}
    )
    if isinstance(row, Reading):
        measurements = list(row.measurements.all())
        for measurement in measurements:
            measurement.pk, measurement.reading_id = None, copy.pk
        Measurement.objects.bulk_create(measurements)
    return copy
