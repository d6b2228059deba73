"""What a customer sees of bikes that were sold: the seller keeps their days, the buyer begins.

The day of the sale is whole for whoever pays for the entry; for the other it is the machine's
only. A day before the sale is shown to the buyer, and only of the machine, where the seller
agreed. What "only of the machine" leaves out is for each reader to keep: names, words, prices,
photos.
"""

from collections.abc import Collection
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

from django.db.models import BooleanField, Case, Q, QuerySet, Value, When

from jobs.garage.models import Bike
from jobs.garage.ownership import Owned, times_owned
from jobs.people.models import User
from jobs.people.selectors import business_get, customers_of_user

from .models import Entry


class Ownership:
    """Of these customers, who are one person."""

    def __init__(self, customers: Collection[int]) -> None:
        self.customers = customers
        self.times = times_owned(customers)
        self.own_times = [one for one in self.times if one.owner in customers]

    @cached_property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(business_get().timezone)

    def never_sold(self, bike: str) -> Q:
        """Rows of bikes that were theirs from the first; ``bike`` is the path to the bike."""
        sold = {one.bike for one in self.times}
        return Q(**{f"{bike}__owner__in": self.customers}) & ~Q(**{f"{bike}__in": sold})

    def rows(self, bike: str, at: str = "done_at") -> Q:
        """Rows written while the bike was theirs."""
        found = self.never_sold(bike)
        for one in self.own_times:
            found |= one.rows(bike, at)
        return found

    def bikes(self) -> QuerySet[Bike]:
        """Those they have, and those they had."""
        had = [one.bike for one in self.own_times]
        return Bike.objects.filter(Q(owner__in=self.customers) | Q(pk__in=had))

    def shown_times(self) -> list[Owned]:
        """Times of others with a bike that is theirs now, where the seller agreed."""
        now = {one.bike for one in self.own_times if one.until is None}
        others = (one for one in self.times if one.owner not in self.customers)
        return [one for one in others if one.bike in now and one.shown_to_next]

    def sold_to_them(self, bike: int) -> datetime | None:
        """When a bike of theirs came to them; None: it was theirs from the first."""
        return next(
            (one.since for one in self.own_times if one.bike == bike and one.until is None), None
        )

    def sold_by_them(self, bike: int) -> datetime | None:
        """When a bike they had went to somebody else; None: it is still theirs."""
        times = [one for one in self.own_times if one.bike == bike]
        if not times or any(one.until is None for one in times):
            return None
        return max(one.until for one in times if one.until is not None)

    def days(self) -> QuerySet[Entry]:
        """The days they see; ``is_whole`` of each says whether more than the machine."""
        whole = self.whole_days()
        rows = Entry.objects.filter(whole | self._days_of_the_machine())
        return rows.annotate(
            is_whole=Case(
                When(whole, then=Value(True)), default=Value(False), output_field=BooleanField()
            )
        )

    def whole_days(self) -> Q:
        """Days of bikes while these were theirs, and days of a sale that they pay for."""
        found = self.never_sold("bike")
        for one in self.own_times:
            inside = Q(bike=one.bike)
            if one.since is not None:
                inside &= Q(trackday__date__gt=self._date(one.since))
            if one.until is not None:
                inside &= Q(trackday__date__lt=self._date(one.until))
            edges = [self._date(at) for at in (one.since, one.until) if at is not None]
            on_edge = Q(bike=one.bike, trackday__date__in=edges, payer__in=self.customers)
            found |= inside | on_edge
        return found

    def _days_of_the_machine(self) -> Q:
        found = Q(pk__in=())
        for one in self.own_times:
            if one.since is not None and one.until is None:
                found |= Q(bike=one.bike, trackday__date=self._date(one.since))
        for one in self.shown_times():
            assert one.until is not None  # it is another's now
            shown = Q(bike=one.bike, trackday__date__lte=self._date(one.until))
            if one.since is not None:
                shown &= Q(trackday__date__gte=self._date(one.since))
            found |= shown
        return found

    def _date(self, at: datetime) -> date:
        return at.astimezone(self.zone).date()


def ownership_of_user(user: User) -> Ownership:
    """Two queries; with a bike that was sold, one more."""
    return Ownership(list(customers_of_user(user).values_list("pk", flat=True)))


def sale_moment(bike: Bike, day: date) -> datetime:
    """From when a bike sold on ``day`` is its new owner's.

    From the beginning of that day on; where the seller pays for a trackday of the bike on it,
    from its end on: what was done then was written for them.
    """
    zone = ZoneInfo(business_get().timezone)
    ridden = Entry.objects.filter(bike=bike, trackday__date=day, payer=bike.owner_id).exists()
    first = day + timedelta(days=1) if ridden else day
    begins = datetime.combine(first, time(), zone).astimezone(UTC)
    return min(begins, datetime.now(UTC))
