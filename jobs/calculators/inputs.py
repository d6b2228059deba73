"""What a calculator asks for, and reading it as typed: any common unit, comma or point."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from django.utils.functional import Promise
from django.utils.translation import gettext as _

from jobs.tuning import Refused
from jobs.tuning.units import from_canonical, symbol_of, to_canonical, units_of

Text = str | Promise


@dataclass(frozen=True)
class Field:
    """One input. ``quantity`` makes it a number with a unit; ``choices`` a choice."""

    name: str
    label: Text
    quantity: str = ""
    needed: bool = True
    default: str = ""
    help: Text = ""
    choices: tuple[tuple[str, Text], ...] = ()
    long: bool = False
    words: bool = False  # a short text, not a number
    further: bool = False  # asked for under "More", below what every answer needs

    @property
    def units(self) -> tuple[str, ...]:
        return units_of(self.quantity) if self.quantity else ()

    @property
    def unit_name(self) -> str:
        return f"{self.name}_unit"

    def first_unit(self, figures: "BusinessFigures") -> str:
        """The unit it is typed in unless another is chosen: the business's, else the canonical."""
        return figures.units.get(self.quantity) or (self.units[0] if self.units else "")

    @property
    def is_number(self) -> bool:
        return not (self.choices or self.long or self.words)


@dataclass(frozen=True)
class SpringInStock:
    """Springs of one kind in the van: the end they are for, their rate, what tells them apart."""

    end: str
    n_per_mm: float
    description: str
    pieces: int


@dataclass(frozen=True)
class BusinessFigures:
    """The business's own figures by key, its currency, the units it reads in, its springs.

    ``springs`` None: they were not asked for.
    """

    bands: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    currency: str = ""
    units: Mapping[str, str] = field(default_factory=dict)
    springs: tuple[SpringInStock, ...] | None = None


@dataclass
class InputValues:
    """What was typed, read: numbers in canonical units, and what is missing or not a number."""

    values: dict[str, float | str] = field(default_factory=dict)
    units: dict[str, tuple[str, str]] = field(default_factory=dict)
    missing: list[str] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)
    sure: bool = False
    figures: BusinessFigures = field(default_factory=BusinessFigures)

    def __getitem__(self, name: str) -> float:
        """A number that was needed, so it is there."""
        return float(self.values[name])

    def get(self, name: str) -> float | None:
        value = self.values.get(name)
        return None if value is None else float(value)

    def text(self, name: str) -> str:
        return str(self.values.get(name, ""))

    def shown(self, value: float, like: str, digits: int = 1) -> str:
        """``value`` (canonical) in the unit that the field ``like`` was typed in."""
        quantity, unit = self.units[like]
        return with_unit(value, quantity, unit, digits)


def with_unit(value: float, quantity: str, unit: str, digits: int = 1) -> str:
    """ "32.5 psi": a canonical value in a unit people use, rounded."""
    return (
        f"{from_canonical(value=value, unit=unit, quantity=quantity):.{digits}f} {symbol_of(unit)}"
    )


def signed(value: float, digits: int = 1) -> str:
    """+1.2 or −1.2, with a true minus sign; 0.0 where it rounds to nothing."""
    shown = f"{value:+.{digits}f}".replace("-", "−")
    return shown[1:] if float(f"{value:.{digits}f}") == 0 else shown


def read(
    fields: tuple[Field, ...],
    data: Mapping[str, str],
    figures: BusinessFigures | None = None,
) -> InputValues:
    """Read everything that was typed; nothing is guessed."""
    given = InputValues(sure=bool(data.get("sure")), figures=figures or BusinessFigures())
    for one in fields:
        typed = (data.get(one.name) or "").strip()
        if one.is_number:
            unit = data.get(one.unit_name) or one.first_unit(given.figures)
            _read_number(one, typed, unit, given)
        elif one.choices and typed not in dict(one.choices):
            given.missing.append(str(one.label))
        elif typed:
            given.values[one.name] = typed
        elif one.needed:
            given.missing.append(str(one.label))
    return given


def _read_number(one: Field, typed: str, unit: str, given: InputValues) -> None:
    if one.quantity:
        known = unit if unit in one.units else one.units[0]
        given.units[one.name] = (one.quantity, known)
    if not typed:
        if one.needed:
            given.missing.append(str(one.label))
        return
    try:
        number = float(typed.replace(",", "."))
        given.values[one.name] = (
            to_canonical(value=number, unit=unit, quantity=one.quantity) if one.quantity else number
        )
    except Refused as refusal:
        given.problems.append(f"{one.label}: {refusal.words!s}")
    except ValueError:
        given.problems.append(
            _("%(label)s: “%(typed)s” is not a number.") % {"label": one.label, "typed": typed[:20]}
        )
