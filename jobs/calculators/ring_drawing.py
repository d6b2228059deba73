"""The drawing of a ring: where it stands, where it should come, and where it was read."""

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from jobs.plots.foretold import Foretold, foretold
from jobs.tuning.outlook import Outlook


def ring_drawing(told: Outlook, usable_mm: float, read_mm: float | None = None) -> SafeString:
    """The bands of the ring without and with a change; ``read_mm`` is the ring read after it."""
    drawn = Foretold(
        level=told.level_mm,
        before=(told.unchanged.low_mm, told.unchanged.high_mm),
        expected=told.band.middle_mm,
        band=(told.band.low_mm, told.band.high_mm),
        usable=usable_mm,
        read=read_mm,
    )
    return mark_safe(foretold(drawn, alt=_words(told, read_mm)))  # noqa: S308 - escaped there


def _words(told: Outlook, read_mm: float | None) -> str:
    said = _("Ring at %(level).0f mm; after the change %(low).0f to %(high).0f mm.") % {
        "level": told.level_mm,
        "low": told.band.low_mm,
        "high": told.band.high_mm,
    }
    if read_mm is None:
        return said
    return said + " " + _("Read: %(read)g mm.") % {"read": read_mm}
