"""The drawing of what a change should show: ring, sag, trail and the seconds of a hot push."""

from collections.abc import Sequence

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from jobs.advice.selectors import PushOutlook, RingOutlook
from jobs.garage.enums import End
from jobs.garage.models import Bike
from jobs.plots.foretold import Beside, Foretold, foretold
from jobs.tuning import Refused, geometry
from jobs.tuning.outlook import Outlook

from .figures import chassis_of
from .inputs import signed


def ring_drawing(told: Outlook, usable_mm: float, read_mm: float | None = None) -> SafeString:
    """The bands of the ring without and with a change; ``read_mm`` is the ring read after it."""
    return _drawn(_ring(told, usable_mm, read_mm), _words(told, read_mm), ())


def outlook_drawing(
    bike: Bike,
    ring: RingOutlook | None,
    push: PushOutlook | None = None,
    *,
    read_mm: float | None = None,
) -> SafeString:
    """Ring, sag, trail and hot push as one drawing, each only where it is told; else empty."""
    told = ring.told if ring else None
    rows = [*_of_sag(bike, ring), *_of_push(push)]
    if told is None and not rows:
        return SafeString()
    words = [_words(told, read_mm)] if told else []
    drawn = _ring(told, ring.usable_mm, read_mm) if ring and told else None
    return _drawn(drawn, " ".join([*words, *(f"{row.words}." for row in rows)]), rows)


def _drawn(ring: Foretold | None, words: str, rows: Sequence[Beside]) -> SafeString:
    return mark_safe(foretold(ring, alt=words, beside=rows))  # noqa: S308 - escaped there


def _ring(told: Outlook, usable_mm: float, read_mm: float | None) -> Foretold:
    return Foretold(
        level=told.level_mm,
        before=(told.unchanged.low_mm, told.unchanged.high_mm),
        expected=told.band.middle_mm,
        band=(told.band.low_mm, told.band.high_mm),
        usable=usable_mm,
        read=read_mm,
    )


def _of_sag(bike: Bike, ring: RingOutlook | None) -> list[Beside]:
    """The rider's sag, and the trail that moves with it where the chassis is known."""
    if ring is None or ring.sag_mm is None or not ring.sag_moves_mm:
        return []
    now, moves = ring.sag_mm, ring.sag_moves_mm
    words = _("Sag %(now).0f → %(next).1f mm") % {"now": now, "next": now + moves}
    rows = [Beside(words, now, now + moves)]
    trail = _trail_moves(bike, ring.end, moves)
    if trail is not None:
        said = _("Trail %(moves)s mm") % {"moves": signed(trail)}
        rows.append(Beside(said, 0.0, trail))
    return rows


def _trail_moves(bike: Bike, end: End, sag_moves_mm: float) -> float | None:
    """What a change of sag does to the trail; None where a figure it needs is not known."""
    try:
        chassis = chassis_of(bike)
        if chassis is None:
            return None
        if end == End.FRONT:
            found = geometry.change(chassis=chassis, front_leg_sag_mm=sag_moves_mm)
        else:
            found = geometry.change(chassis=chassis, rear_vertical_mm=sag_moves_mm)
    except Refused:
        return None
    return found.trail_change_mm


def _of_push(push: PushOutlook | None) -> list[Beside]:
    if push is None or not push.told:
        return []
    words = _("Hot push %(now).2f → %(next).2f s") % {"now": push.seconds_now, "next": push.middle}
    return [Beside(words, push.seconds_now, push.middle, (push.low, push.high), push.read_s)]


def _words(told: Outlook, read_mm: float | None) -> str:
    said = _("Ring at %(level).0f mm; after the change %(low).0f to %(high).0f mm.") % {
        "level": told.level_mm,
        "low": told.band.low_mm,
        "high": told.band.high_mm,
    }
    if read_mm is None:
        return said
    return said + " " + _("Read: %(read)g mm.") % {"read": read_mm}
