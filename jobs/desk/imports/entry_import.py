"""A previewed entries file, written: all of it or nothing."""

from collections.abc import Sequence
from typing import Any

from django.db import transaction

from jobs.garage.models import Bike
from jobs.garage.office import bike_register, bike_update
from jobs.people.models import Customer, Rider
from jobs.people.services import customer_create, customer_update, rider_create, rider_update
from jobs.trackday.models import Entry, Trackday
from jobs.trackday.office import entry_create, entry_update
from jobs.trackday.services import revision_bump

from .entries import EntryRow
from .entry_changes import EntryPreviewLine
from .entry_match import new_owner_key, payer_named
from .known import plain
from .preview import Verb


class NewRecords:
    """The records this file has created so far: rows of it that name the same use the same."""

    def __init__(self) -> None:
        self.customers: dict[tuple[str, ...], Customer] = {}
        self.riders: dict[Any, Rider] = {}
        self.bikes: dict[Any, Bike] = {}

    def owner(self, row: EntryRow) -> Customer:
        key = new_owner_key(row)
        if key not in self.customers:
            self.customers[key] = customer_create(
                name=row.owner_name,
                email=row.email,
                phone=row.phone,
                street=row.street,
                postcode=row.postcode,
                city=row.city,
                country=row.country,
            )
        return self.customers[key]

    def payer(self, row: EntryRow) -> Customer:
        """Somebody named as payer who is not known yet; without an e-mail, by name in this file."""
        key = ("email", row.payer_email) if row.payer_email else ("payer", *plain(row.payer))
        if key not in self.customers:
            name = row.payer or row.payer_email
            self.customers[key] = customer_create(name=name, email=row.payer_email)
        return self.customers[key]

    def rider(self, owner: Customer, row: EntryRow) -> Rider:
        key = (owner.pk, plain(row.name))
        if key not in self.riders:
            self.riders[key] = rider_create(
                customer=owner,
                name=row.name,
                phone=row.phone,
                weight_in_kit_kg=row.weight_kg,
                aim=row.aim,
            )
        return self.riders[key]

    def bike(self, owner: Customer, row: EntryRow) -> Bike:
        key = (owner.pk, row.frame or row.line)
        if key not in self.bikes:
            self.bikes[key] = bike_register(
                owner=owner,
                make=row.make,
                model=row.model,
                year=row.year,
                colour=row.colour,
                frame_last4=row.frame,
            )
        return self.bikes[key]


@transaction.atomic
def entries_write(*, trackday: Trackday, lines: Sequence[EntryPreviewLine]) -> list[Entry]:
    """Write the lines of a preview that has no faults; the entries that are new."""
    new_records = NewRecords()
    written = [
        _write(trackday, line, new_records)
        for line in lines
        if line.verb != Verb.SAME or line.changes
    ]
    revision_bump(trackday_id=trackday.pk)
    return [entry for entry in written if entry is not None]


def _write(trackday: Trackday, line: EntryPreviewLine, new_records: NewRecords) -> Entry | None:
    """Write one line; the entry it made, if any."""
    row = line.row
    owner = line.owner or new_records.owner(row)
    rider = line.rider or new_records.rider(owner, row)
    bike = line.bike or new_records.bike(owner, row)
    payer = line.payer or _new_payer(line, owner, new_records)
    if changes := line.changes.get("owner"):
        customer_update(customer=owner, changes=changes)
    if changes := line.changes.get("rider"):
        rider_update(rider=rider, changes=changes)
    if changes := line.changes.get("bike"):
        bike_update(bike=bike, changes=changes)
    assert line.group is not None
    assert line.package is not None
    if line.entry is None:
        return entry_create(
            trackday=trackday,
            group=line.group,
            bike=bike,
            rider=rider,
            package=line.package,
            payer=payer,
            number=row.number,
            bay=row.bay,
            ref=row.ref,
            complaint=row.complaint,
            note=row.note,
        )
    if changes := line.changes.get("entry"):
        found = {"rider": rider, "bike": bike, "payer": payer}
        entry_update(entry=line.entry, changes={n: found.get(n, v) for n, v in changes.items()})
    return None


def _new_payer(line: EntryPreviewLine, owner: Customer, new_records: NewRecords) -> Customer:
    return new_records.payer(line.row) if payer_named(line.row) else owner
