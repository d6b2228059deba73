"""The last readings as a table: what was read, front beside rear."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from jobs.setups import sentences
from jobs.setups.models import Reading
from jobs.trackday.clock import local


@dataclass
class ReadingLine:
    """One kind of reading in one state of the tyre; the newest of each end."""

    name: str
    taken: list[Reading] = field(default_factory=list)

    @property
    def front(self) -> str:
        return self._at("front")

    @property
    def rear(self) -> str:
        return self._at("rear")

    @property
    def whole(self) -> str:
        """What belongs to no end of the bike, such as laps."""
        return self._at("")

    @property
    def aside(self) -> str:
        newest = self.taken[-1]
        trackday = newest.entry.trackday if newest.entry else None
        at = f"{local(trackday, newest.done_at):%H:%M}" if trackday else ""
        since = newest.minutes_since_stop
        minutes = _("%(n)s min after the stop") % {"n": round(since)} if since is not None else ""
        oil = sentences.oil_of_reading(newest)
        return " · ".join(part for part in (at, minutes, oil) if part)

    def _at(self, end: str) -> str:
        found = [reading for reading in self.taken if reading.end == end]
        return sentences.short_reading(found[-1]) if found else ""


def reading_table(readings: Iterable[Reading]) -> list[ReadingLine]:
    """``readings`` in the order they were taken, the newest of each kind, end and state."""
    lines: dict[tuple[str, str], ReadingLine] = {}
    for reading in readings:
        state = reading.get_tyre_state_display() if reading.tyre_state else ""
        name = capfirst(str(reading.get_kind_display()))
        key = (reading.kind, reading.tyre_state)
        line = lines.setdefault(key, ReadingLine(f"{name}, {state}" if state else name))
        line.taken.append(reading)
    return list(lines.values())
