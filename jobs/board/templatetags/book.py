"""Rows of the setup book in words, for templates."""

from django import template

from jobs.garage import words
from jobs.garage.enums import TyreState
from jobs.garage.models import AdjusterFields, Fitting
from jobs.setups import saying
from jobs.setups.models import Adjustment, BikePhoto, BookRow, Expectation, Finding, Reading
from jobs.setups.selectors import OpenOrder
from jobs.tuning.units import convert, symbol_of

register = template.Library()
register.filter("symbol", symbol_of)


@register.filter
def said(row: BookRow) -> str:
    """The row as a sentence."""
    if isinstance(row, Reading):
        return saying.reading(row)
    if isinstance(row, Adjustment):
        return saying.adjustment(row)
    if isinstance(row, Expectation):
        return saying.adjustment(row.adjustment, both=getattr(row, "of_both_legs", False))
    return str(row)


@register.filter
def ordered(order: OpenOrder) -> str:
    """What was ordered, a sentence an adjuster."""
    return saying.order(order.rows)


@register.filter
def aside(row: BookRow) -> str:
    """What stands beside the sentence, smaller."""
    if isinstance(row, Reading):
        return saying.reading_aside(row)
    return saying.adjustment_aside(row) if isinstance(row, Adjustment) else ""


@register.filter
def named(adjuster: AdjusterFields) -> str:
    """ "Front rebound, left leg"."""
    return words.adjuster_name(adjuster)


@register.filter
def maker_range(tyre: Fitting, unit: str) -> str:
    """ "29.0–33.4 psi cold, 31.0–35.0 psi off track": where the maker wants the tyre."""
    digits = {"psi": 1, "bar": 2}.get(unit, 0)
    said = []
    for state, ends in tyre.maker_range_kpa.items():
        low, high = (convert(value=end, unit="kPa", to=unit) for end in ends)
        said.append(f"{low:.{digits}f}–{high:.{digits}f} {unit} {TyreState(state).label}")
    return ", ".join(said)


@register.filter
def percent(share: float) -> str:
    """0.438 -> "44 %", which no line breaks apart."""
    return f"{share * 100:.0f}\u00a0%"


@register.filter
def movable(row: BookRow) -> bool:
    """Whether the row can be put on another bike."""
    return isinstance(row, (Adjustment, Reading, Finding, BikePhoto))
