"""Travel per customer, not per bike: flat, by distance, or one sum shared by those attending."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from decimal import Decimal

from jobs.people.selectors import business_get
from jobs.trackday.models import BikeMove, Entry, Trackday

from ..enums import TravelPricing
from ..models import PriceItem
from ..money import Money

KEY = "travel"


def shares(entries: Sequence[Entry], item: PriceItem) -> Iterable[tuple[Entry, Decimal, Decimal]]:
    """(entry, quantity, price) for the first entry of each customer who attends.

    A day closed for billing has its shares frozen as charges; nothing is derived any more.
    """
    days = {e.trackday for e in entries if e.trackday.closed_for_billing_at is None}
    carriers = carriers_of(days)
    mine = {entry.pk: entry for entry in entries}
    currency = business_get().currency
    for day in days:
        for pk, (quantity, price) in _priced(day, carriers[day.pk], item, currency).items():
            if pk in mine:
                yield mine[pk], quantity, price


def carriers_of(days: Collection[Trackday]) -> dict[int, list[int]]:
    """By day: of each customer who attends, the entry that carries the travel, as booked.

    Before anybody arrived everybody booked counts; later, those who were seen.
    """
    seen: dict[int, set[int]] = defaultdict(set)
    moves = BikeMove.objects.filter(entry__trackday__in=days, withdrawn_at__isnull=True)
    for day, entry in moves.order_by().values_list("entry__trackday", "entry").distinct():
        seen[day].add(entry)
    first: dict[int, dict[int, int]] = {day.pk: {} for day in days}
    coming = Entry.objects.filter(trackday__in=days, absence="").order_by("pk")
    for pk, day, payer in coming.values_list("pk", "trackday", "payer"):
        if day not in seen or pk in seen[day]:
            first[day].setdefault(payer, pk)
    return {day: list(by_payer.values()) for day, by_payer in first.items()}


def _priced(
    day: Trackday, carriers: list[int], item: PriceItem, currency: str
) -> dict[int, tuple[Decimal, Decimal]]:
    if not carriers or item.price is None:
        return {}
    if item.travel == TravelPricing.SHARED:
        parts = Money.of(item.price, currency).split(len(carriers))
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
