"""What a reading is made of: numbers with a unit, and switches that are on or off.

Canonical units: kPa gauge, degC, mm, s, count.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.utils.functional import Promise

from jobs.people.models import Business
from jobs.tuning.units import from_canonical, to_canonical, units_of

Words = str | Promise

PRESSURE, LENGTH, TEMPERATURE, TIME, COUNT = "pressure", "length", "temperature", "time", "count"


@dataclass(frozen=True)
class Range:
    """From ``low`` to ``high``, both included, in the canonical unit of a quantity."""

    low: Decimal
    high: Decimal

    def __contains__(self, value: Decimal) -> bool:
        return self.low <= value <= self.high


def between(low: float, high: float) -> Range:
    return Range(Decimal(str(low)), Decimal(str(high)))


@dataclass(frozen=True)
class Number:
    """One number of a reading, or several of the same name where it is ``repeated``.

    Outside ``plausible`` a person is asked to look again, in the words of ``warning`` where
    there are some. Outside ``possible`` the reading is refused. Both are common practice and
    have no source. ``short`` is how a table says it, with ``%(n)s`` for the number; where it
    is empty, a table says the number and its unit. ``head``: what a narrow column of a form has
    above it, where ``words`` is too long. ``step``: what one tap of the stepper
    adds, where that is not the usual step of the unit. ``taps``: the values that are tapped
    instead of typed, each with its words. ``further``: optional, behind the rest of the form.
    ``not_below``: numbers of the same reading that it cannot be smaller than; see
    ``AS_GOOD_AS_EQUAL_MM``.
    """

    name: str
    words: Words
    quantity: str
    plausible: Range
    possible: Range
    needed: bool = True
    repeated: bool = False
    short: Words = ""
    step: str = ""
    warning: Words = ""
    taps: tuple[tuple[str, Words], ...] = ()
    further: bool = False
    not_below: tuple[str, ...] = ()
    head: Words = ""

    @property
    def on_round(self) -> bool:
        """Whether a task of a round asks for it: it has one cell a name."""
        return not self.repeated


@dataclass(frozen=True)
class Switch:
    """One thing of a reading that was so (``on``) or not (``off``), each in its own words.

    A switch nobody touched says neither. ``warning`` is said when it is on. ``on_round``:
    whether a task of a round asks for it. ``in_table``: whether a table says it when on.
    ``group``: of the switches of one group at most one is on; a form has one field for them,
    with the name of the group, whose value is the name of the switch; ``tap`` is its word there.
    """

    name: str
    on: Words
    off: Words
    on_round: bool = True
    in_table: bool = False
    warning: Words = ""
    group: str = ""
    tap: Words = ""

    def words(self, on: bool) -> Words:
        return self.on if on else self.off


Measure = Number | Switch
# Lengths of one reading that differ by less were read as well as the same.
AS_GOOD_AS_EQUAL_MM = Decimal(1)


def switched_on(switch: Switch, form: Mapping[str, str], prefix: str = "") -> bool:
    """Whether a form says that a switch is on: in its own field, or in that of its group."""
    own = str(form.get(prefix + switch.name) or "").strip()
    return own not in ("", "0") or (
        bool(switch.group) and form.get(prefix + switch.group) == switch.name
    )


def unit_of(quantity: str, business: Business) -> str:
    """The business's own unit of a quantity where it has one, else the canonical one."""
    if quantity == PRESSURE:
        return business.pressure_unit
    if quantity == TEMPERATURE:
        return business.temperature_unit
    return units(quantity)[0]


def unit_typed(quantity: str, form: Mapping[str, str], business: Business) -> str:
    """The unit a form says its numbers were typed in; a form that says none, the business's."""
    return form.get(f"unit_{quantity}") or unit_of(quantity, business)


def unit_shown(quantity: str, form: Mapping[str, str], business: Business) -> str:
    """As ``unit_typed``, for the page that shows a form again: one that is no unit of the
    quantity was refused, and the business's stands in its place."""
    said = unit_typed(quantity, form, business)
    return said if said in units(quantity) else unit_of(quantity, business)


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
