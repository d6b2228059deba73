"""Whose a bike was, from one sale to the next."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from .models import FormerOwner


@dataclass(frozen=True)
class Owned:
    """One owner's time with a bike that was sold; ``since`` None: from the first, ``until``
    None: still."""

    bike: int
    owner: int
    since: datetime | None
    until: datetime | None
    shown_to_next: bool = False

    def holds(self, at: datetime) -> bool:
        return (self.since is None or at >= self.since) and (self.until is None or at < self.until)

    def rows(self, bike: str, at: str = "done_at") -> Q:
        """Rows of that time; ``bike`` is the path from a row to its bike, ``at`` its moment."""
        found = Q(**{bike: self.bike})
        if self.since is not None:
            found &= Q(**{f"{at}__gte": self.since})
        if self.until is not None:
            found &= Q(**{f"{at}__lt": self.until})
        return found


def times_owned(customers: Collection[int]) -> list[Owned]:
    """Everybody's times with every sold bike that is or was one of these customers'. One query."""
    about = Q(bike__owner__in=customers) | Q(bike__former_owners__owner__in=customers)
    sales = FormerOwner.objects.filter(about).select_related("bike").distinct()
    by_bike: dict[int, list[FormerOwner]] = {}
    for sale in sales.order_by("bike", "until"):
        by_bike.setdefault(sale.bike_id, []).append(sale)
    found = []
    for bike, sold in by_bike.items():
        since = None
        for one in sold:
            found.append(Owned(bike, one.owner_id, since, one.until, one.shown_to_next))
            since = one.until
        found.append(Owned(bike, sold[0].bike.owner_id, since, None))
    return found
