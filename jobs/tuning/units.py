"""Units: what people type, and what the arithmetic uses.

Exact factors from NIST Special Publication 811 (2008), appendix B.
"""

from dataclasses import dataclass

from .argument_checks import checked
from .refusal import Refused, number
from .words import _

STANDARD_GRAVITY = 9.80665  # m/s2, exact: 3rd CGPM 1901
KELVIN_AT_ZERO_CELSIUS = 273.15
SEA_LEVEL_KPA = 101.325

_POUND_FORCE = 4.4482216152605  # N, exact
_INCH = 25.4  # mm, exact


@checked
@dataclass(frozen=True)
class UnitFactor:
    """canonical = value * factor + offset."""

    quantity: str
    factor: float
    offset: float = 0.0


UNITS: dict[str, UnitFactor] = {
    "kPa": UnitFactor("pressure", 1),
    "psi": UnitFactor("pressure", _POUND_FORCE / _INCH**2 * 1000),
    "bar": UnitFactor("pressure", 100),
    "hPa": UnitFactor("barometer", 0.1),
    "mbar": UnitFactor("barometer", 0.1),
    "inHg": UnitFactor("barometer", 3.386389),  # conventional inch of mercury
    "N/mm": UnitFactor("rate", 1),
    "kgf/mm": UnitFactor("rate", STANDARD_GRAVITY),
    "lbf/in": UnitFactor("rate", _POUND_FORCE / _INCH),
    "mm": UnitFactor("length", 1),
    "cm": UnitFactor("length", 10),
    "in": UnitFactor("length", _INCH),
    "degC": UnitFactor("temperature", 1),
    "degF": UnitFactor("temperature", 5 / 9, -160 / 9),
    "K": UnitFactor("temperature", 1, -KELVIN_AT_ZERO_CELSIUS),
    "kg": UnitFactor("mass", 1),
    "lb": UnitFactor("mass", 0.45359237),
    "N": UnitFactor("force", 1),
    "kgf": UnitFactor("force", STANDARD_GRAVITY),
    "lbf": UnitFactor("force", _POUND_FORCE),
    "m": UnitFactor("altitude", 1),
    "ft": UnitFactor("altitude", 0.3048),
    "deg": UnitFactor("angle", 1),
    "GPa": UnitFactor("modulus", 1),
    "Mpsi": UnitFactor("modulus", _POUND_FORCE / _INCH**2 * 1000),
    "s": UnitFactor("time", 1),
    "min": UnitFactor("time", 60),
    "cSt": UnitFactor("viscosity", 1),
    "%": UnitFactor("share", 1),
}


SYMBOLS = {"degC": "°C", "degF": "°F", "deg": "°"}


@checked
def symbol_of(unit: str) -> str:
    """The unit as people read it; names are plain letters, so that they can be typed and sent.

    >>> symbol_of("degC"), symbol_of("psi")
    ('°C', 'psi')
    """
    return SYMBOLS.get(unit, unit)


@checked
def units_of(quantity: str) -> tuple[str, ...]:
    """The names of the units of a quantity, the one used inside first.

    >>> units_of("pressure")
    ('kPa', 'psi', 'bar')
    """
    return tuple(name for name, unit in UNITS.items() if unit.quantity == quantity)


@checked
def to_canonical(*, value: float, unit: str, quantity: str) -> float:
    """``value`` in the unit the arithmetic uses for ``quantity``.

    Refused: no unit, an unknown one, or one of another quantity.

    >>> round(to_canonical(value=0.95, unit="kgf/mm", quantity="rate"), 4)
    9.3163
    >>> to_canonical(value=68, unit="degF", quantity="temperature")
    20.0
    """
    known = _unit(unit, quantity)
    return number(value, quantity) * known.factor + known.offset


@checked
def from_canonical(*, value: float, unit: str, quantity: str) -> float:
    """``value``, given in the canonical unit, in ``unit``.

    >>> round(from_canonical(value=160, unit="psi", quantity="pressure"), 1)
    23.2
    """
    known = _unit(unit, quantity)
    return (number(value, quantity) - known.offset) / known.factor


@checked
def convert(*, value: float, unit: str, to: str) -> float:
    """``value`` from one unit to another of the same quantity.

    >>> round(convert(value=1.6, unit="bar", to="psi"), 1)
    23.2
    """
    if to not in UNITS:
        raise Refused(_("The unit {unit} is not known here.", unit=to))
    quantity = UNITS[to].quantity
    canonical = to_canonical(value=value, unit=unit, quantity=quantity)
    return from_canonical(value=canonical, unit=to, quantity=quantity)


def _unit(name: str, quantity: str) -> UnitFactor:
    accepted = ", ".join(units_of(quantity))
    if not name:
        raise Refused(_("A unit is missing. Accepted: {accepted}.", accepted=accepted))
    unit = UNITS.get(name)
    if unit is None or unit.quantity != quantity:
        raise Refused(
            _(
                "{unit} is not a unit of this quantity. Accepted: {accepted}.",
                unit=name,
                accepted=accepted,
            )
        )
    return unit
