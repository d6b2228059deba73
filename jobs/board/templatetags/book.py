"""Template filters that say rows of the setup book in words."""

from django import template

from jobs.acts.handlers.book_target import may_take_back
from jobs.garage import words
from jobs.garage.enums import TyreState
from jobs.garage.models import AdjusterFields, Fitting
from jobs.setups import sentences
from jobs.setups.models import Adjustment, BikePhoto, BookRow, Expectation, Finding, Reading
from jobs.setups.selectors import OpenOrder
from jobs.tuning.units import convert, symbol_of

register = template.Library()
register.filter("symbol", symbol_of)


@register.filter
def said(row: BookRow) -> str:
    """The row as a sentence."""
    if isinstance(row, Reading):
        return sentences.reading(row)
    if isinstance(row, Adjustment):
        return sentences.adjustment(row)
    if isinstance(row, Expectation):
        return sentences.adjustment(row.adjustment, both=getattr(row, "of_both_legs", False))
    return str(row)


@register.filter
def ordered(order: OpenOrder) -> str:
    """What was ordered, a sentence an adjuster."""
    return sentences.order(order.rows)


@register.filter
def aside(row: BookRow) -> str:
    """What stands beside the sentence, smaller."""
    if isinstance(row, Reading):
        return sentences.reading_aside(row)
    return sentences.adjustment_aside(row) if isinstance(row, Adjustment) else ""


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


register.filter("may_be_taken_back_by", may_take_back)


@register.filter
def movable(row: BookRow) -> bool:
    """Whether the row can be put on another bike."""
    return isinstance(row, (Adjustment, Reading, Finding, BikePhoto))
