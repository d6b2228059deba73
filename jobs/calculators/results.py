"""What a reading comes to: the answer of the calculator of its kind."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.http import urlencode
from django.utils.text import capfirst

from jobs.garage.enums import End
from jobs.garage.words import at_end
from jobs.setups.reading_kinds import reading_kind

from .answers import CalculatorAnswer, CalculatorOutput, calculate
from .catalogue import BY_SLUG
from .inputs_by_kind import INPUTS_BY_KIND
from .reading_context import ReadingContext
from .reading_input import ReadingInput


@dataclass(frozen=True)
class CalculatorResult:
    """What one reading comes to: its title, the answer, and the calculator it came from.

    ``slug`` and ``query`` give the workbench page with the same numbers; ``slug`` is empty
    where there is no such page. ``lacks_figures``: all that is missing is on the bike's own
    list of figures.
    """

    title: str
    result: CalculatorOutput
    slug: str = ""
    query: str = ""
    lacks_figures: bool = False


def calculator_result(
    reading_input: ReadingInput, context: ReadingContext
) -> CalculatorResult | None:
    """The result of a reading; None where its kind has none or nothing is typed yet."""
    kind = reading_kind(reading_input.kind)
    calculator, prepare = BY_SLUG.get(kind.calculator), INPUTS_BY_KIND.get(kind.name)
    if not reading_input.anything or calculator is None or prepare is None:
        return None
    title, inputs = title_of(reading_input), prepare(reading_input, context)
    if inputs is None:
        return None
    if isinstance(inputs, CalculatorAnswer):
        return CalculatorResult(title, CalculatorOutput(answer=inputs))
    defaults = {one.name: one.default for one in calculator.fields if one.choices}
    result = calculate(calculator, {**defaults, **inputs}, context.figures)
    known = {name: value for name, value in inputs.items() if value}
    query = urlencode({"bike": str(context.entry.bike_id), **known})
    figures = {str(one.label) for one in calculator.fields if one.name in FIGURES}
    lacks = bool(result.missing) and set(result.missing) <= figures
    linked = calculator.slug if len(query) < LONGEST_QUERY else ""
    return CalculatorResult(title, result, linked, query, lacks)


# Inputs that are figures of the bike, not of a reading.
FIGURES = {"travel", "usable", "rake", "ratio", "per_turn"}
# Longer addresses are cut by proxies; a page without its numbers is worse than no link.
LONGEST_QUERY = 1750


def calculator_results(
    inputs: Iterable[ReadingInput], context: ReadingContext
) -> list[CalculatorResult]:
    """The results of several readings, those without one left out."""
    found = (calculator_result(one, context) for one in inputs)
    return [one for one in found if one is not None]


def title_of(reading_input: ReadingInput) -> str:
    kind = str(reading_kind(reading_input.kind).label)
    if not reading_input.end:
        return capfirst(kind)
    return at_end(End(reading_input.end).label, kind)
