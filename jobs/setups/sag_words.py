"""Sag as a tuner says it: what it came to, and the readings behind it."""

from collections.abc import Mapping
from decimal import Decimal

from django.utils.translation import gettext as _

from jobs.garage import words

HALF = Decimal("0.5")


def sag_in_words(lengths: Mapping[str, Decimal]) -> str:
    """ "36 / free 24 mm (127 · 95 · 101)"; lengths in mm by the name of the number.

    Sag is the hanging length less the middle of what it settles at after a push and a lift.
    """
    hanging, push, lift = (lengths.get(name) for name in ("hanging", "after_push", "after_lift"))
    if hanging is None or push is None or lift is None:
        return ""
    said = _rounded(hanging - (push + lift) / 2)
    free = lengths.get("free")
    if free is not None:
        said = _("%(sag)s / free %(free)s") % {"sag": said, "free": _rounded(hanging - free)}
    behind = " · ".join(words.plain(one) for one in (hanging, push, lift))
    return f"{said} mm ({behind})"


def _rounded(length: Decimal) -> str:
    """To half a millimetre: a tape is read no finer."""
    return words.plain((length / HALF).quantize(Decimal(1)) * HALF)
