"""Photos of a bike: the one it is recognised by, and places before and after."""

from collections.abc import Iterable
from dataclasses import dataclass

from jobs.garage.models import Bike
from jobs.trackday.models import Entry

from ..enums import Subject
from ..models import BikePhoto, Expectation


@dataclass(frozen=True)
class BeforeAfter:
    """One place of one wheel: the first and the last photo of the day, where there are two."""

    before: BikePhoto
    after: BikePhoto | None

    @property
    def waiting(self) -> int:
        """How many of the two are still to be decoded."""
        return sum(one.photo.waits for one in (self.before, self.after) if one is not None)

    @property
    def title(self) -> str:
        return str(self.before)


def identity_photo_of_bike(bike: Bike) -> BikePhoto | None:
    """The newest photo of the bike itself."""
    return (
        BikePhoto.objects.filter(bike=bike, subject=Subject.BIKE, withdrawn_at=None)
        .select_related("photo")
        .order_by("-accepted_at")
        .first()
    )


def photos_of_entry(entry: Entry) -> list[BeforeAfter]:
    """The day's photos, each place once with its first and its last: one query."""
    places: dict[tuple[str, str, str], list[BikePhoto]] = {}
    rows = BikePhoto.objects.filter(entry=entry, withdrawn_at=None)
    rows = rows.select_related("by", "session", "photo")
    for row in rows:
        places.setdefault((row.subject, row.end, row.place), []).append(row)
    return [
        BeforeAfter(taken[0], taken[-1] if len(taken) > 1 else None) for taken in places.values()
    ]


def photos_beside(expectations: Iterable[Expectation]) -> dict[object, BeforeAfter]:
    """By expectation: what its end looked like before the change, and now. One query.

    Before is the photo of the finding it answers, else the last of that end's tyre; after is
    the newest of the same place taken since. Without a photo before there is nothing to set
    beside another.
    """
    wanted = list(expectations)
    if not wanted:
        return {}
    bikes = {one.adjustment.adjuster.bike_id for one in wanted}
    rows = BikePhoto.objects.filter(bike__in=bikes, withdrawn_at=None).exclude(subject=Subject.BIKE)
    taken = list(rows.select_related("photo").order_by("accepted_at"))
    found = {one.pk: _beside(one, taken) for one in wanted}
    return {pk: pair for pk, pair in found.items() if pair is not None}


def _beside(expectation: Expectation, taken: list[BikePhoto]) -> BeforeAfter | None:
    origin, adjuster = expectation.adjustment.accepted_at, expectation.adjustment.adjuster
    before = [
        row for row in taken
        if row.bike_id == adjuster.bike_id and row.accepted_at <= origin
        and (row.end == adjuster.end or row.finding_id == expectation.finding_id is not None)
    ]  # fmt: skip
    if not before:
        return None
    answered = expectation.finding_id
    of_finding = [row for row in before if answered and row.finding_id == answered]
    first = (of_finding or before)[-1]
    place = (first.bike_id, first.subject, first.end, first.place)
    since = [
        row for row in taken
        if row.accepted_at > origin and (row.bike_id, row.subject, row.end, row.place) == place
    ]  # fmt: skip
    return BeforeAfter(first, since[-1] if since else None)
