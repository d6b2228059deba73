"""Short ways to write the book in tests: one bike, one adjuster, rows by number."""

import uuid
from datetime import datetime
from decimal import Decimal

from jobs.garage.enums import End, Firming, Function, Leg, Unit
from jobs.garage.models import Adjuster
from jobs.people.models import User
from jobs.setups import services
from jobs.setups.ledger import last_placed
from jobs.setups.models import Adjustment
from jobs.setups.origin import RowOrigin
from jobs.setups.stops import origin_at_stop
from jobs.trackday.enums import Move
from jobs.trackday.models import BikeMove, Entry

from ..days import local


def origin(by: User, entry: Entry, at: datetime | None = None) -> RowOrigin:
    return origin_at_stop(row_id=uuid.uuid4(), by=by, done_at=at or local(8), entry=entry)


def arrive(by: User, entry: Entry) -> None:
    """The bike is here since half past seven, so that it goes out with its group."""
    BikeMove.objects.create(entry=entry, move=Move.ARRIVED, at=local(7, 30), by=by)


def rear_rebound(entry: Entry) -> Adjuster:
    return Adjuster.objects.get(bike=entry.bike_id, end="rear", function=Function.REBOUND)


def tyre_pressure(entry: Entry) -> Adjuster:
    return Adjuster.objects.create(
        bike=entry.bike, end=End.REAR, leg=Leg.BOTH, function=Function.TYRE_PRESSURE,
        unit=Unit.PSI, step=Decimal("0.5"), origin="zero", lowest=15, highest=50,
        firming=Firming.UP,
    )  # fmt: skip


def fork_legs(entry: Entry) -> list[Adjuster]:
    """Preload in both legs of the fork, a pair."""
    pair = uuid.uuid4()
    return [
        Adjuster.objects.create(
            bike=entry.bike, end=End.FRONT, leg=leg, function=Function.PRELOAD, pair=pair,
            highest=12, firming=Firming.UP, range_counted=True,
        )
        for leg in (Leg.LEFT, Leg.RIGHT)
    ]  # fmt: skip


def change_legs(by: User, entry: Entry, legs: list[Adjuster], *ways: tuple[float, float], **more):
    """One act that moves each leg its own way, or all of them the one way given."""
    act = origin(by, entry, more.pop("at", None))
    if len(ways) == 1:
        ways *= len(legs)
    return [
        services.adjustment_change(
            origin=act.further(leg.pk), adjuster=leg, linked=act.id,
            from_position=Decimal(str(from_)), to_position=Decimal(str(to)), **more,
        )
        for leg, (from_, to) in zip(legs, ways, strict=True)
    ]  # fmt: skip


def count(by: User, entry: Entry, position: float, **more) -> Adjustment:
    more.setdefault("adjuster", rear_rebound(entry))
    return services.adjustment_count(
        origin=origin(by, entry, more.pop("at", None)), position=Decimal(str(position)), **more
    )


def change(by: User, entry: Entry, from_: float, to: float, **more) -> Adjustment:
    more.setdefault("adjuster", rear_rebound(entry))
    return services.adjustment_change(
        origin=origin(by, entry, more.pop("at", None)),
        from_position=Decimal(str(from_)),
        to_position=Decimal(str(to)),
        **more,
    )


def stands_at(adjuster: Adjuster) -> Decimal | None:
    row = last_placed(adjuster)
    return row.to_position if row else None
