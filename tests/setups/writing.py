"""Short ways to write the book in tests: one bike, one adjuster, rows by number."""

import uuid
from datetime import datetime
from decimal import Decimal

from jobs.garage.enums import Function
from jobs.garage.models import Adjuster
from jobs.people.models import User
from jobs.setups import services
from jobs.setups.ledger import last_placed
from jobs.setups.made import Made
from jobs.setups.models import Adjustment
from jobs.setups.stops import made_at_stop
from jobs.trackday.enums import Move
from jobs.trackday.models import BikeMove, Entry

from ..days import local


def made(by: User, entry: Entry, at: datetime | None = None) -> Made:
    return made_at_stop(row_id=uuid.uuid4(), by=by, done_at=at or local(8), entry=entry)


def arrive(by: User, entry: Entry) -> None:
    """The bike is here since half past seven, so that it goes out with its group."""
    BikeMove.objects.create(entry=entry, move=Move.ARRIVED, at=local(7, 30), by=by)


def rear_rebound(entry: Entry) -> Adjuster:
    return Adjuster.objects.get(bike=entry.bike_id, end="rear", function=Function.REBOUND)


def count(by: User, entry: Entry, position: float, **more) -> Adjustment:
    more.setdefault("adjuster", rear_rebound(entry))
    return services.adjustment_count(
        made=made(by, entry, more.pop("at", None)), position=Decimal(str(position)), **more
    )


def change(by: User, entry: Entry, from_: float, to: float, **more) -> Adjustment:
    more.setdefault("adjuster", rear_rebound(entry))
    return services.adjustment_change(
        made=made(by, entry, more.pop("at", None)),
        from_position=Decimal(str(from_)),
        to_position=Decimal(str(to)),
        **more,
    )


def stands_at(adjuster: Adjuster) -> Decimal | None:
    row = last_placed(adjuster)
    return row.to_position if row else None
