"""A trackday of any size for tests: ``day_build(bikes=60)``.

Four run groups, six sessions each, from 09:00 at a venue in Europe/Dublin, on a clock
that stands still at ``at`` (default 08:00 local). Bikes are spread over the groups and
belong to the customers given, in turn (default: one of their own each).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from jobs.garage.enums import End, Firming, Function, Leg
from jobs.garage.models import Adjuster, Bike
from jobs.people.models import Customer, Rider
from jobs.trackday.models import Entry, RunGroup, ServicePackage, Session, Trackday, Venue

ZONE = ZoneInfo("Europe/Dublin")
DATE = date(2026, 6, 13)
GROUPS = "ABCD"
SESSIONS = 6
ADJUSTERS = (
    (End.FRONT, Leg.LEFT, Function.REBOUND, 20),
    (End.FRONT, Leg.RIGHT, Function.COMPRESSION, 22),
    (End.REAR, Leg.BOTH, Function.REBOUND, 24),
    (End.REAR, Leg.BOTH, Function.COMPRESSION, 20),
)


@dataclass(frozen=True)
class Day:
    trackday: Trackday
    groups: list[RunGroup]
    sessions: list[Session]
    package: ServicePackage
    entries: list[Entry]


def local(hour: int, minute: int = 0) -> datetime:
    """A time of the day at the venue."""
    return datetime(DATE.year, DATE.month, DATE.day, hour, minute, tzinfo=ZONE)


def day_build(
    *, bikes: int = 3, at: datetime | None = None, customers: Sequence[Customer] = ()
) -> Day:
    venue, _ = Venue.objects.get_or_create(
        name="Ballymoor Circuit", defaults={"timezone": "Europe/Dublin"}
    )
    trackday = Trackday.objects.create(
        venue=venue,
        name=f"Open day {Trackday.objects.count() + 1}",
        date=DATE,
        clock_anchor=at or local(8),
        clock_set_at=at or local(8),
        clock_rate=Decimal("0"),
    )
    groups = [
        RunGroup.objects.create(trackday=trackday, letter=letter, order=order)
        for order, letter in enumerate(GROUPS)
    ]
    package, _ = ServicePackage.objects.get_or_create(
        code="full-day", defaults={"name": "Full day", "follow_ups": SESSIONS}
    )
    sessions = Session.objects.bulk_create(_session(group, n) for n in range(6) for group in groups)
    entries = _entries(trackday, groups, package, bikes, customers)
    return Day(trackday, groups, sessions, package, entries)


def _session(group: RunGroup, turn: int) -> Session:
    start = local(9) + timedelta(minutes=(turn * len(GROUPS) + group.order) * 20)
    return Session(
        trackday=group.trackday,
        group=group,
        number=turn + 1,
        planned_start=start,
        planned_end=start + timedelta(minutes=18),
    )


def _entries(
    trackday: Trackday,
    groups: list[RunGroup],
    package: ServicePackage,
    count: int,
    customers: Sequence[Customer],
) -> list[Entry]:
    owners = [
        customers[n % len(customers)] if customers else Customer(name=f"Customer {n + 1}")
        for n in range(count)
    ]
    if not customers:
        Customer.objects.bulk_create(owners)
    riders = Rider.objects.bulk_create(Rider(customer=owner, name=owner.name) for owner in owners)
    bikes = Bike.objects.bulk_create(
        Bike(owner=owner, make="Corrib", model=f"R{n + 1}", frame_last4=f"{n + 1:04}")
        for n, owner in enumerate(owners)
    )
    Adjuster.objects.bulk_create(
        Adjuster(
            bike=bike,
            end=end,
            leg=leg,
            function=function,
            highest=Decimal(highest),
            firming=Firming.DOWN,
            range_counted=True,
        )
        for bike in bikes
        for end, leg, function, highest in ADJUSTERS
    )
    return Entry.objects.bulk_create(
        Entry(
            trackday=trackday,
            group=groups[n % len(groups)],
            bike=bike,
            rider=rider,
            payer=rider.customer,
            package=package,
            number=str(n + 1),
            bay=str(n + 1),
        )
        for n, (bike, rider) in enumerate(zip(bikes, riders, strict=True))
    )
