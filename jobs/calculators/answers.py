"""The calculator, and its answer ready to be shown."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from jobs.tuning import AskAgain, Refused

from .inputs import BusinessFigures, Field, InputValues, Text, read


@dataclass(frozen=True)
class AnswerLine:
    """One number or word of an answer: what it is, the figure, what stands beside it."""

    label: Text
    value: str
    note: str = ""


@dataclass(frozen=True)
class CalculatorAnswer:
    """The first line is the answer itself; ``picture`` is inline SVG with its own words."""

    lines: tuple[AnswerLine, ...]
    says: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    picture: str = ""

    @property
    def main(self) -> AnswerLine:
        return self.lines[0]

    @property
    def others(self) -> tuple[AnswerLine, ...]:
        return self.lines[1:]


@dataclass(frozen=True)
class Calculator:
    """A page of the workbench. ``crew``: its answer is shown to helpers too, it has no money."""

    slug: str
    title: Text
    asks: Text
    group: Text
    fields: tuple[Field, ...]
    compute: Callable[[InputValues], CalculatorAnswer]
    formula: tuple[Text, ...]
    source: Text
    crew: bool = False


@dataclass(frozen=True)
class CalculatorOutput:
    """An answer, or the sentence that stands in its place."""

    answer: CalculatorAnswer | None = None
    missing: tuple[str, ...] = ()
    problems: tuple[str, ...] = ()
    ask_again: str = ""


def calculate(
    calculator: Calculator,
    data: Mapping[str, str],
    figures: BusinessFigures | None = None,
) -> CalculatorOutput:
    """The calculator's answer to what was typed; refusals become sentences."""
    given = read(calculator.fields, data, figures)
    if given.problems:
        return CalculatorOutput(problems=tuple(given.problems))
    if given.missing:
        return CalculatorOutput(missing=tuple(given.missing))
    try:
        found = calculator.compute(given)
    except AskAgain as question:
        return CalculatorOutput(ask_again=str(question.words))
    except Refused as refusal:
        return CalculatorOutput(problems=(str(refusal.words),))
    return CalculatorOutput(
        answer=CalculatorAnswer(
            lines=found.lines,
            says=tuple(str(one) for one in found.says),
            assumptions=tuple(str(one) for one in found.assumptions),
            cautions=tuple(str(one) for one in found.cautions),
            picture=found.picture,
        )
    )
