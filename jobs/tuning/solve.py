"""Finding where a function is zero, between two ends that bracket it."""

from collections.abc import Callable

from .refusal import Refused
from .words import _

ITERATIONS = 200


def root(
    function: Callable[[float], float], low: float, high: float, *, tolerance: float = 1e-12
) -> float:
    """The zero of a continuous ``function`` between ``low`` and ``high``.

    Regula falsi in the Illinois form (Dowell and Jarratt, BIT 11, 1971), with a bisection
    whenever it stalls. ``tolerance`` is relative to the size of the answer. Refused when
    both ends have the same sign: then nothing says that there is a zero at all.

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
