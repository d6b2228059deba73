"""What a calculator answers, ready to be shown; and the calculator itself."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from jobs.tuning import AskAgain, Refused

from .inputs import Field, Given, House, Text, read
from .say import say, say_all


@dataclass(frozen=True)
class Line:
    """One number or word of an answer: what it is, the figure, what stands beside it."""

    label: Text
    value: str
    note: str = ""


@dataclass(frozen=True)
class Answer:
    """The first line is the answer itself; ``picture`` is inline SVG with its own words."""

    lines: tuple[Line, ...]
    says: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    picture: str = ""

    @property
    def main(self) -> Line:
        return self.lines[0]

    @property
    def others(self) -> tuple[Line, ...]:
        return self.lines[1:]


@dataclass(frozen=True)
class Calculator:
    """A page of the workbench. ``crew``: its answer is shown to helpers too, it has no money."""

    slug: str
    title: Text
    asks: Text
    group: Text
    fields: tuple[Field, ...]
    compute: Callable[[Given], Answer]
    formula: tuple[Text, ...]
    source: Text
    crew: bool = False


@dataclass(frozen=True)
class Result:
    """An answer, or the sentence that stands in its place."""

    answer: Answer | None = None
    missing: tuple[str, ...] = ()
    problems: tuple[str, ...] = ()
    ask_again: str = ""


def work_out(
    calculator: Calculator,
    data: Mapping[str, str],
    house: House | None = None,
) -> Result:
    """The calculator's answer to what was typed; refusals become sentences."""
    given = read(calculator.fields, data, house)
    if given.problems:
        return Result(problems=tuple(given.problems))
    if given.missing:
        return Result(missing=tuple(given.missing))
    try:
        found = calculator.compute(given)
    except AskAgain as question:
        return Result(ask_again=say(question.words))
    except Refused as refusal:
        return Result(problems=(say(refusal.words),))
    return Result(
        answer=Answer(
            lines=found.lines,
            says=say_all(found.says),
            assumptions=say_all(found.assumptions),
            cautions=say_all(found.cautions),
            picture=found.picture,
        )
    )
