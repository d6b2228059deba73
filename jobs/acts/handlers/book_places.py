"""Which bike an act of the book is about, and at which outing it was done."""

from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from jobs.garage.models import Adjuster, Bike
from jobs.setups.made import Made
from jobs.setups.models import Adjustment, BookRow, Expectation, Judgement, Order
from jobs.setups.stops import made_at_stop
from jobs.trackday.models import Entry

from ..registry import Context


@dataclass(frozen=True)
class Place:
    bike: Bike
    made: Made

    def adjuster(self, adjuster_id: int) -> Adjuster:
        """An adjuster of this bike, and of no other."""
        found = Adjuster.objects.filter(pk=adjuster_id, bike=self.bike).first()
        if found is None:
            raise ValidationError(
                _("That adjuster is not on %(bike)s, frame …%(frame)s.")
                % {"bike": self.bike, "frame": self.bike.frame_last4 or "?"}
            )
        return found


def place_of(context: Context, data: dict[str, Any]) -> Place:
    """The bike named by the act's entry, else by its bike; the act belongs to its day."""
    if data["entry"] is None:
        bike = Bike.objects.get(pk=data["bike"])
        return Place(bike, _made(context, None))
    entry = Entry.objects.select_related("trackday", "group", "bike").get(pk=data["entry"])
    return Place(entry.bike, _made(context, entry))


def place_of_row(context: Context, row: BookRow) -> Place:
    """Where a row of the book stands: what is done to it belongs there too."""
    entry = row.entry
    if entry is None:
        return Place(_bike_of(row), _made(context, None))
    return Place(entry.bike, _made(context, entry))


def _bike_of(row: BookRow) -> Bike:
    """The bike of a row written outside any trackday."""
    if isinstance(row, Expectation):
        row = row.adjustment
    if isinstance(row, Judgement):
        row = row.expectation.adjustment
    if isinstance(row, (Adjustment, Order)):
        return row.adjuster.bike
    bike: Bike = row.bike  # type: ignore[attr-defined]
    return bike


def _made(context: Context, entry: Entry | None) -> Made:
    if entry is not None:
        context.trackday_id = entry.trackday_id
    return made_at_stop(row_id=context.act_id, by=context.by, done_at=context.done_at, entry=entry)
