"""A calculator's inputs with what stands in them."""

from collections.abc import Mapping
from dataclasses import dataclass

from jobs.calculators.answers import Calculator
from jobs.calculators.inputs import BusinessFigures, Field
from jobs.tuning.units import symbol_of


@dataclass(frozen=True)
class FilledInput:
    """One input as it is shown: the field, its value as typed, the unit it is typed in."""

    field: Field
    value: str
    unit: str

    @property
    def units(self) -> list[tuple[str, str, bool]]:
        """(name, as written, chosen) of every unit it may be typed in."""
        return [(name, symbol_of(name), name == self.unit) for name in self.field.units]

    @property
    def choices(self) -> list[tuple[str, str, bool]]:
        return [(name, str(label), name == self.value) for name, label in self.field.choices]

    @property
    def said(self) -> str:
        """ "24 °": what stands in it, in few words; empty where nothing does."""
        if not self.value or self.field.long:
            return self.value and "…"
        return f"{self.value} {symbol_of(self.unit)}".strip()

    def data(self) -> dict[str, str]:
        if not self.field.quantity:
            return {self.field.name: self.value}
        return {self.field.name: self.value, self.field.unit_name: self.unit}


def filled_inputs(
    calculator: Calculator, typed: Mapping[str, str], figures: BusinessFigures
) -> tuple[FilledInput, ...]:
    """What was typed, else the field's default; a field typed empty stays empty."""
    return tuple(
        FilledInput(
            field=one,
            value=typed.get(one.name, one.default),
            unit=_unit(one, typed.get(one.unit_name, ""), figures),
        )
        for one in calculator.fields
    )


def _unit(one: Field, wanted: str, figures: BusinessFigures) -> str:
    return wanted if wanted in one.units else one.first_unit(figures)
