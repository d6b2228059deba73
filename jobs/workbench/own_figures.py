"""The tuner's own figures: each with the published ranges, and the range set in their place."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from jobs.people import services
from jobs.tuning import Refused, practice

# A way of working of the business, which is set at the desk.
AT_THE_DESK = ("pace_trigger",)


@dataclass(frozen=True)
class OwnFigureRow:
    """One figure: its published bands in words, the tuner's own as typed, an error beside it."""

    key: str
    label: str
    unit: str
    published: str
    disagree: bool
    low: str = ""
    high: str = ""
    error: str = ""
    at_the_desk: bool = False


def rows(
    bands: Mapping[str, tuple[float, float]],
    typed: Mapping[str, str] | None = None,
    errors: Mapping[str, str] | None = None,
) -> list[OwnFigureRow]:
    return [
        _row(one, bands.get(one.key), typed, (errors or {}).get(one.key, ""))
        for one in practice.PRACTICES.values()
    ]


def _row(
    one: practice.Practice,
    own: tuple[float, float] | None,
    typed: Mapping[str, str] | None,
    error: str,
) -> OwnFigureRow:
    low, high = (f"{own[0]:g}", f"{own[1]:g}") if own else ("", "")
    if typed is not None and one.key not in AT_THE_DESK:
        low, high = typed.get(f"{one.key}_low", low), typed.get(f"{one.key}_high", high)
    published = [f"{a:g}–{b:g}" if a != b else f"{a:g}" for a, b in one.bands]
    return OwnFigureRow(
        key=one.key,
        label=str(one.label),
        unit=one.unit,
        published=_(" or ").join(published),
        disagree=one.disagree,
        low=low,
        high=high,
        error=error,
        at_the_desk=one.key in AT_THE_DESK,
    )


def save(typed: Mapping[str, str]) -> dict[str, str]:
    """Keep what was typed, empty means the published range; errors by key, then nothing is kept."""
    found: dict[str, tuple[float, float] | None] = {}
    errors: dict[str, str] = {}
    for key in practice.PRACTICES:
        if key in AT_THE_DESK:
            continue
        try:
            found[key] = _band(typed.get(f"{key}_low", ""), typed.get(f"{key}_high", ""))
        except Refused as refusal:
            errors[key] = str(refusal.words)
    if errors:
        return errors
    for key, band in found.items():
        if band is None:
            services.own_band_clear(key=key)
        else:
            services.own_band_set(key=key, low=Decimal(str(band[0])), high=Decimal(str(band[1])))
    return {}


def _band(low: str, high: str) -> tuple[float, float] | None:
    low, high = low.strip().replace(",", "."), high.strip().replace(",", ".")
    if not low and not high:
        return None
    try:
        ends = float(low), float(high)
    except ValueError:
        raise Refused(
            _("Both ends are needed, as numbers; “%(low)s” to “%(high)s” was given.")
            % {"low": low, "high": high}
        ) from None
    if max(ends) > 999:
        raise Refused(_("No such figure reaches 1000."))
    return practice.own_band(*ends)
