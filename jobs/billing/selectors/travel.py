"""Travel per customer, not per bike: flat, by distance, or one sum shared by those attending."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from decimal import Decimal

from jobs.people.selectors import business_get
from jobs.trackday.models import BikeMove, Entry, Trackday
from jobs.trackday.selectors import entries_coming

from ..enums import TravelPricing
from ..models import PriceItem
from ..money import Money

KEY = "travel"


def shares(entries: Sequence[Entry], item: PriceItem) -> Iterable[tuple[Entry, Decimal, Decimal]]:
    """(entry, quantity, price) for the first entry of each customer who attends.

    A day closed for billing has its shares frozen as charges; nothing is derived any more.
    """
    days = {entry.trackday_id: entry.trackday for entry in entries}
    for day in days.values():
        if day.closed_for_billing_at is not None:
            continue
        carriers = carriers_of(day)
        mine = {entry.pk: entry for entry in entries if entry.trackday_id == day.pk}
        for pk, (quantity, price) in _priced(day, carriers, item).items():
            if pk in mine:
                yield mine[pk], quantity, price


def carriers_of(day: Trackday) -> list[int]:
    """For each customer who attends, the entry that carries the travel, in order of booking.

    Before anybody arrived everybody booked counts; later, those who were seen.
    """
    moved = set(
        BikeMove.objects.filter(entry__trackday=day, withdrawn_at__isnull=True).values_list(
            "entry", flat=True
        )
    )
    first: dict[int, int] = {}
    for pk, payer in entries_coming(day).order_by("pk").values_list("pk", "payer"):
        if not moved or pk in moved:
            first.setdefault(payer, pk)
    return list(first.values())


def _priced(
    day: Trackday, carriers: list[int], item: PriceItem
) -> dict[int, tuple[Decimal, Decimal]]:
    if not carriers or item.price is None:
        return {}
    if item.travel == TravelPricing.SHARED:
        parts = Money.of(item.price, business_get().currency).split(len(carriers))
        return {pk: (Decimal(1), part.amount) for pk, part in zip(carriers, parts, strict=True)}
    quantity = Decimal(1)
    if item.travel == TravelPricing.DISTANCE:
        if not day.venue.distance_km:
            return {}
        quantity = 2 * day.venue.distance_km
    return dict.fromkeys(carriers, (quantity, item.price))


def by_payer(entries: Iterable[Entry]) -> dict[int, list[Entry]]:
    grouped: dict[int, list[Entry]] = defaultdict(list)
    for entry in entries:
        grouped[entry.payer_id].append(entry)
    return grouped
