"""Lap times in words."""

from collections.abc import Sequence
from decimal import Decimal

from django.utils.translation import gettext as _


def laps_in_words(seconds: Sequence[Decimal]) -> str:
    """ "8 laps, best 1:42.5"."""
    if not seconds:
        return _("no laps")
    return _("%(count)s laps, best %(best)s") % {
        "count": len(seconds),
        "best": lap_time(min(seconds)),
    }


def lap_time(seconds: Decimal) -> str:
    """ "1:42.5", and "42.5" below a minute."""
    minutes, rest = divmod(seconds, 60)
    return f"{int(minutes)}:{rest:04.1f}" if minutes else f"{rest:.1f}"
