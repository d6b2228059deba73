"""What the whole crew must see at once: in words, most serious first."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.garage.words import plain
from jobs.trackday.models import Conditions
from jobs.worklist.bikes import BikeDay
from jobs.worklist.day import Day

# One line for the whole board (common practice, no source: see the method).
BIG_TRACK_CHANGE_C = Decimal(10)


@dataclass(frozen=True)
class Alert:
    text: str
    stops: bool = False
    entry_id: int | None = None


def alerts(day: Day) -> list[Alert]:
    return [*_held_but_out(day), *_beyond_close(day), *_weather(day.conditions), *_unplaced(day)]


def plate(bike: BikeDay) -> str:
    return f"{bike.entry.number or '–'} {bike.entry.group.letter}"


def _held_but_out(day: Day) -> Iterator[Alert]:
    for bike in day.bikes:
        if bike.where.held_but_out and bike.holds:
            yield Alert(
                _("%(plate)s is out though it is held: %(why)s")
                % {"plate": plate(bike), "why": "; ".join(h.words for h in bike.holds)},
                stops=True,
                entry_id=bike.entry.pk,
            )


def _beyond_close(day: Day) -> Iterator[Alert]:
    if day.beyond_close:
        names = ", ".join(str(times.session) for times in day.beyond_close)
        yield Alert(_("Past the track's close: %(names)s. Cancel, or wait.") % {"names": names})


def _weather(conditions: Sequence[Conditions]) -> Iterator[Alert]:
    if len(conditions) < 2:
        return
    now, before = conditions[-1], conditions[-2]
    if now.wet and not before.wet:
        yield Alert(_("Wet now: dry setups are kept, wet ones are open on the sheets."))
    elif before.wet and not now.wet:
        yield Alert(_("Dry again: back to the dry setups where they were changed."))
    known = [row.track_c for row in conditions if row.track_c is not None]
    if len(known) > 1 and abs(known[-1] - known[0]) >= BIG_TRACK_CHANGE_C:
        degrees = known[-1] - known[0]
        text = _("Track %(n)s °C warmer than in the morning: pressures first, on every bike.")
        if degrees < 0:
            text = _("Track %(n)s °C colder than in the morning: pressures first, on every bike.")
        yield Alert(text % {"n": plain(abs(degrees))})


def _unplaced(day: Day) -> Iterator[Alert]:
    for bike in day.bikes:
        if bike.unplaced:
            text = ngettext(
                "%(plate)s: %(n)d change is not placed. Place or withdraw it on its sheet.",
                "%(plate)s: %(n)d changes are not placed. Place or withdraw them on its sheet.",
                bike.unplaced,
            )
            yield Alert(text % {"plate": plate(bike), "n": bike.unplaced}, entry_id=bike.entry.pk)
