"""Bad input is refused with a sentence: what was given, and what is accepted."""

import math
from decimal import Decimal
from enum import StrEnum
from numbers import Real
from typing import TypeVar

from .words import Words, _

Word = TypeVar("Word", bound=StrEnum)


class Refused(ValueError):
    """No meaningful result is possible from this input; ``words`` says why."""

    def __init__(self, words: str) -> None:
        super().__init__(words)
        self.words = words


class AskAgain(Refused):
    """The input is possible but so unusual that the person must confirm it."""


def number(value: float | None, what: str) -> float:
    """``value`` as a float; refuses what is missing or not a finite number.

    >>> number(3, "rate")
    3.0
    """
    if isinstance(value, bool) or not isinstance(value, (int, float, Decimal, Real)):
        raise Refused(_("{what}: no number was given.", what=what))
    if not math.isfinite(value):
        raise Refused(_("{what}: {given} is not a number.", what=what, given=str(value)))
    return float(value)


def one_of(value: str, words: type[Word], *, what: str) -> Word:
    """``value`` as one of the words of a list, such as the two ends of a bike.

    >>> from jobs.tuning.terms import End
    >>> one_of("front", End, what="end").value
    'front'
    """
    for word in words:
        if word.value == value:
            return word
    raise Refused(
        _(
            "{what}: {given} was given; accepted are {words}.",
            what=what,
            given=str(value),
            words=", ".join(word.value for word in words),
        )
    )


def within(
    value: float | None,
    low: float,
    high: float,
    *,
    what: str,
    unit: str = "",
    hint: str = "",
) -> float:
    """``value`` if it lies in ``low``..``high``; else Refused, with ``hint`` as the likely mistake.

    >>> within(24, 15, 45, what="rake", unit="deg")
    24.0
    """
    given = number(value, what)
    if low <= given <= high:
        return given
    raise Refused(_outside(given, low, high, what=what, unit=unit, hint=hint))


def positive(value: float | None, what: str, unit: str = "") -> float:
    """``value`` if it is above zero.

    >>> positive(2, "mass", "kg")
    2.0
    """
    given = number(value, what)
    if given > 0:
        return given
    raise Refused(
        _(
            "{what}: {given:g} {unit} was given, it must be above zero.",
            what=what,
            given=given,
            unit=unit,
        )
    )


def _outside(given: float, low: float, high: float, *, what: str, unit: str, hint: str) -> Words:
    values = {"what": what, "given": given, "low": low, "high": high, "unit": unit}
    if hint:
        return _(
            "{what}: {given:g} {unit} was given, accepted is {low:g} to {high:g} {unit}. {hint}",
            hint=hint,
            **values,
        )
    return _(
        "{what}: {given:g} {unit} was given, accepted is {low:g} to {high:g} {unit}.", **values
    )
