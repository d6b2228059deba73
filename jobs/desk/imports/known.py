"""The existing records that a file of entries may mean, fetched once for the whole file."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from django.db.models import Q

from jobs.garage.models import Bike
from jobs.people.models import Customer, Rider
from jobs.setups.models import Adjustment, Reading
from jobs.trackday.models import Entry, RunGroup, ServicePackage, Session, Trackday
from jobs.worklist.models import TaskMark

from .entries import EntryRow


def plain(*words: str) -> tuple[str, ...]:
    """Words as people compare them: case and white space do not matter."""
    return tuple(" ".join(word.split()).casefold() for word in words)


@dataclass
class KnownRecords:
    trackday: Trackday
    entries: list[Entry] = field(default_factory=list)
    groups: dict[str, RunGroup] = field(default_factory=dict)
    packages: dict[str, ServicePackage] = field(default_factory=dict)
    sessions: dict[int, list[Session]] = field(default_factory=dict)
    customers: list[Customer] = field(default_factory=list)
    framed_bikes: list[Bike] = field(default_factory=list)
    worked_on: set[int] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.by_ref = {entry.ref: entry for entry in self.entries if entry.ref}
        self.by_frame: dict[tuple[str, str], list[Entry]] = defaultdict(list)
        self.by_plain: dict[tuple[str, ...], list[Entry]] = defaultdict(list)
        for entry in self.entries:
            bike = entry.bike
            if bike.owner.email and bike.frame_last4:
                self.by_frame[bike.owner.email.lower(), bike.frame_last4].append(entry)
            key = plain(entry.rider.name, entry.number, entry.group.letter)
            self.by_plain[key].append(entry)
        self.by_email = {c.email.lower(): c for c in reversed(self.customers) if c.email}
        self.by_name: dict[tuple[str, ...], list[Customer]] = defaultdict(list)
        for customer in self.customers:
            self.by_name[plain(customer.name)].append(customer)


def known_load(*, trackday: Trackday, rows: Iterable[EntryRow]) -> KnownRecords:
    """The same number of queries for one row and for five hundred."""
    rows = list(rows)
    sessions: dict[int, list[Session]] = defaultdict(list)
    for session in Session.objects.filter(trackday=trackday, cancelled_at=None):
        sessions[session.group_id].append(session)
    packages = ServicePackage.objects.filter(active=True)
    return KnownRecords(
        trackday=trackday,
        entries=list(
            Entry.objects.filter(trackday=trackday).select_related(
                "bike__owner", "rider", "payer", "group", "package"
            )
        ),
        groups={g.letter.casefold(): g for g in RunGroup.objects.filter(trackday=trackday)},
        packages={word.casefold(): p for p in packages for word in (p.name, p.code)},
        sessions=dict(sessions),
        customers=_customers(rows),
        framed_bikes=list(
            Bike.objects.filter(frame_last4__in={r.frame for r in rows if r.frame}).select_related(
                "owner"
            )
        ),
        worked_on=_worked_on(trackday),
    )


def _customers(rows: list[EntryRow]) -> list[Customer]:
    emails = {r.email for r in rows} | {r.payer_email for r in rows}
    names = {r.owner_name for r in rows} | {r.payer for r in rows}
    return list(
        Customer.objects.filter(Q(email__in=emails - {""}) | Q(name__in=names - {""}))
        .prefetch_related("riders", "bikes")
        .order_by("pk")
    )


def _worked_on(trackday: Trackday) -> set[int]:
    """Entries somebody has already written something about."""
    found: set[int] = set()
    for model in (TaskMark, Reading, Adjustment):
        found |= set(
            model.objects.filter(entry__trackday=trackday).values_list("entry_id", flat=True)
        )
    return found


def rider_named(customer: Customer, name: str) -> Rider | None:
    return next((r for r in customer.riders.all() if plain(r.name) == plain(name)), None)


def bike_of(customer: Customer, row: EntryRow) -> Bike | None:
    """The customer's bike a row means: by frame, else the only one of that make and model."""
    bikes = list(customer.bikes.all())
    if row.frame:
        framed = [b for b in bikes if b.frame_last4 == row.frame]
        if framed:
            return framed[0]
    alike = [
        b
        for b in bikes
        if plain(b.make, b.model) == plain(row.make, row.model)
        and not (row.frame and b.frame_last4)
        and (not row.year or not b.year or row.year == b.year)
    ]
    return alike[0] if len(alike) == 1 else None
