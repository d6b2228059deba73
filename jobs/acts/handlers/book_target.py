"""The bike that an act of the setup book is about, and the outing after which it was done."""

from dataclasses import dataclass
from typing import Any

from django.core.exceptions import PermissionDenied, ValidationError
from django.utils.translation import gettext as _

from jobs.garage.models import Adjuster, Bike
from jobs.people.models import User
from jobs.setups.models import (
    Adjustment,
    BookRow,
    Expectation,
    Judgement,
    KeptSetup,
    Order,
)
from jobs.setups.origin import RowOrigin
from jobs.setups.stops import origin_at_stop
from jobs.trackday.models import Entry

from ..registry import Context

# What the setup is, and what is meant by it. Readings, findings and photos are facts: whoever
# sees that one is wrong corrects it.
DECIDED = (Adjustment, Order, Expectation, Judgement, KeptSetup)


@dataclass(frozen=True)
class BookTarget:
    """The bike, and the origin of the rows that the act writes."""

    bike: Bike
    origin: RowOrigin

    def adjuster(self, adjuster_id: int) -> Adjuster:
        """An adjuster of this bike, and of no other."""
        found = Adjuster.objects.filter(pk=adjuster_id, bike=self.bike).first()
        if found is None:
            raise ValidationError(
                _("That adjuster is not on %(bike)s, frame …%(frame)s.")
                % {"bike": self.bike, "frame": self.bike.frame_last4 or "?"}
            )
        return found


def target_of(context: Context, data: dict[str, Any]) -> BookTarget:
    """The bike of the act's entry, else the bike named. An entry also gives the act its day."""
    if data["entry"] is None:
        bike = Bike.objects.get(pk=data["bike"])
        return BookTarget(bike, _origin_of(context, None))
    entry = Entry.objects.select_related("trackday", "group", "bike").get(pk=data["entry"])
    return BookTarget(entry.bike, _origin_of(context, entry))


def target_of_row(context: Context, row: BookRow) -> BookTarget:
    """The bike and the day of a row of the book, for an act that changes that row."""
    entry = row.entry
    if entry is None:
        return BookTarget(_bike_of(row), _origin_of(context, None))
    return BookTarget(entry.bike, _origin_of(context, entry))


def may_take_back(row: object, by: User) -> bool:
    """A helper neither withdraws nor moves what a tuner decided."""
    return by.is_tuner or not (isinstance(row, DECIDED) and row.by.is_tuner)


def check_may_take_back(context: Context, row: BookRow) -> None:
    """Raises PermissionDenied where ``may_take_back`` says no."""
    if not may_take_back(row, context.by):
        raise PermissionDenied(_("What a tuner did, a tuner takes back."))


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


def _origin_of(context: Context, entry: Entry | None) -> RowOrigin:
    if entry is not None:
        context.trackday_id = entry.trackday_id
    return origin_at_stop(
        row_id=context.act_id, by=context.by, done_at=context.done_at, entry=entry
    )
