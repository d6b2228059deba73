"""When a bike was held, and its last stop with the holds taken into account."""

from datetime import datetime

from jobs.setups.stops import Stop, last_stop
from jobs.trackday.models import Entry
from jobs.trackday.selectors import entry_whereabouts
from jobs.trackday.where import Held

from ..models import Hold


def holds_of_bike(bike_id: int) -> list[Held]:
    """From when to when the bike was held; the end is None while the hold is open. One query."""
    return list(Hold.objects.filter(bike=bike_id).values_list("raised_at", "released_at"))


def stop_of_entry(entry: Entry, now: datetime) -> Stop | None:
    """The last outing of a bike and when it stood again after it: five queries."""
    return last_stop(entry_whereabouts(entry, now, holds_of_bike(entry.bike_id)), now)
