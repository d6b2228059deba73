"""What each kind of reading measures: names, units, and the range that is plausible.

Outside the plausible range a person is asked to look again; nothing is refused for it
(common practice, no source). Canonical units: kPa gauge, degC, mm, s, count.
"""

from dataclasses import dataclass
from decimal import Decimal

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from jobs.tuning.units import from_canonical, to_canonical, units_of

from .enums import ReadingKind

Words = str | Promise


PRESSURE, LENGTH, TEMPERATURE, TIME, COUNT = "pressure", "length", "temperature", "time", "count"


@dataclass(frozen=True)
class Measure:
    """One number of a reading; ``low..high`` is plausible, in the canonical unit."""

    name: str
    words: Words
    quantity: str
    low: Decimal
    high: Decimal
    repeated: bool = False
    needed: bool = True


def _measure(
    name: str, words: Words, quantity: str, low: float, high: float, **more: bool
) -> Measure:
    return Measure(name, words, quantity, Decimal(str(low)), Decimal(str(high)), **more)


MEASURES: dict[str, tuple[Measure, ...]] = {
    ReadingKind.PRESSURE: (_measure("pressure", _("pressure"), PRESSURE, 100, 350),),
    ReadingKind.TYRE_TEMPERATURE: (
        _measure("left", _("left"), TEMPERATURE, 0, 130, needed=False),
        _measure("centre", _("centre"), TEMPERATURE, 0, 130, needed=False),
        _measure("right", _("right"), TEMPERATURE, 0, 130, needed=False),
    ),
    ReadingKind.SAG: (
        _measure("hanging", _("wheel hanging"), LENGTH, 60, 800),
        _measure("after_push", _("settled after a push down"), LENGTH, 40, 800),
        _measure("after_lift", _("settled after a lift"), LENGTH, 40, 800),
        _measure("free", _("without the rider"), LENGTH, 40, 800, needed=False),
    ),
    ReadingKind.PUSH: (
        _measure("seconds", _("seconds to return"), TIME, 0.2, 15, needed=False),
        _measure("swings", _("swings seen"), COUNT, 0, 8, needed=False),
        _measure("peak", _("peak, from rest"), LENGTH, -60, 120, needed=False, repeated=True),
        _measure("brake", _("front brake held (1) or not (0)"), COUNT, 0, 1, needed=False),
        _measure("stays", _("stays down (1)"), COUNT, 0, 1, needed=False),
    ),
    ReadingKind.TRAVEL: (
        _measure("used", _("travel used"), LENGTH, 10, 160),
        _measure("reset", _("ring put back (1)"), COUNT, 0, 1, needed=False),
    ),
    ReadingKind.WEAR: (
        _measure("left", _("left"), LENGTH, 0, 9, needed=False),
        _measure("centre", _("centre"), LENGTH, 0, 9, needed=False),
        _measure("right", _("right"), LENGTH, 0, 9, needed=False),
    ),
    ReadingKind.LAPS: (_measure("lap", _("lap"), TIME, 20, 600, repeated=True),),
}


def measure(kind: str, name: str) -> Measure | None:
    return next((one for one in MEASURES[kind] if one.name == name), None)


def units(quantity: str) -> tuple[str, ...]:
    """The units a quantity may be entered in, the canonical one first."""
    return units_of(quantity) or ("count",)


def canonical(value: Decimal, unit: str, quantity: str) -> Decimal:
    """``value`` in the quantity's canonical unit. Refused: no unit of this quantity."""
    if quantity == COUNT:
        return value
    return _decimal(to_canonical(value=float(value), unit=unit, quantity=quantity))


def shown_in(value: Decimal, unit: str, quantity: str, places: str = "0.1") -> Decimal:
    """A canonical value in ``unit``, rounded for showing."""
    shown = from_canonical(value=float(value), unit=unit, quantity=quantity)
    return _decimal(shown).quantize(Decimal(places))


def _decimal(value: float) -> Decimal:
    return Decimal(repr(value)).quantize(Decimal("0.00001"))
