"""Find where a function is zero: between two values with different signs, and of a polynomial."""

import itertools
from collections.abc import Callable, Sequence

from .argument_checks import checked
from .refusal import Refused
from .words import _

ITERATIONS = 200


@checked
def root(
    function: Callable[[float], float], low: float, high: float, *, tolerance: float = 1e-12
) -> float:
    """The zero of a continuous ``function`` between ``low`` and ``high``.

    Regula falsi in the Illinois form (Dowell and Jarratt, BIT 11, 1971), with a bisection
    in every third step. ``tolerance`` is relative to the size of the result. Refused if both
    ends have the same sign, because then there may be no zero.

    >>> round(root(lambda x: x * x - 2, 0, 2), 12)
    1.414213562373
    """
    at_low, at_high = function(low), function(high)
    if at_low == 0:
        return low
    if at_high == 0:
        return high
    if (at_low > 0) == (at_high > 0):
        raise Refused(_("These numbers have no solution in the range a motorcycle works in."))
    for turn in range(ITERATIONS):
        middle = (
            (low + high) / 2
            if turn % 3 == 2
            else ((low * at_high - high * at_low) / (at_high - at_low))
        )
        at_middle = function(middle)
        if at_middle == 0 or abs(high - low) <= tolerance * max(1.0, abs(middle)):
            return middle
        if (at_middle > 0) == (at_high > 0):
            high, at_high, at_low = middle, at_middle, at_low / 2
        else:
            low, at_low, at_high = middle, at_middle, at_high / 2
    return (low + high) / 2


@checked
def polynomial_roots(
    *, coefficients: Sequence[float], low: float, high: float
) -> tuple[float, ...]:
    """Where c0 + c1 x + c2 x^2 + ... crosses zero between ``low`` and ``high``, the lowest first.

    Between two neighbouring roots of its derivative a polynomial rises or falls all the way, so
    it crosses zero there at most once. Source: Rolle's theorem.

    >>> [round(x, 9) for x in polynomial_roots(coefficients=(6, -7, 0, 1), low=0, high=9)]
    [1.0, 2.0]
    """
    falling = tuple(reversed(coefficients))

    def value(x: float) -> float:
        total = 0.0
        for coefficient in falling:  # Horner's scheme
            total = total * x + coefficient
        return total

    if len(coefficients) < 2:
        return ()
    derivative = tuple(i * c for i, c in enumerate(coefficients) if i > 0)
    turns = polynomial_roots(coefficients=derivative, low=low, high=high)
    found: list[float] = []
    for start, end in itertools.pairwise((low, *turns, high)):
        if (value(start) > 0) != (value(end) > 0) or value(end) == 0:
            crossing = root(value, start, end)
            if not found or crossing > found[-1]:
                found.append(crossing)
    return tuple(found)
