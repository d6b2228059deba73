"""Quantiles of a mixture of normal distributions."""

from collections.abc import Sequence
from statistics import NormalDist

from ..argument_checks import checked
from ..refusal import Refused
from ..words import _

# Weight, mean, standard deviation.
Part = tuple[float, float, float]
_FAR = 8.0
_HALVINGS = 60


@checked
def mixture_quantile(parts: Sequence[Sequence[float]], probability: float) -> float:
    """The value that the mixture is below with a probability; weights add up to 1.

    >>> round(mixture_quantile([(0.5, 1, 1), (0.5, 3, 1)], 0.5), 6)
    2.0
    """
    if not parts or any(len(part) != 3 or part[2] <= 0 for part in parts):
        raise Refused(_("A part of a mixture is a weight, a mean and a spread above zero."))
    if not 0 < probability < 1:
        raise Refused(
            _("A probability lies between 0 and 1; {given:g} was given.", given=probability)
        )
    dists = [(weight, NormalDist(mean, sd)) for weight, mean, sd in parts]
    low = min(mean - _FAR * sd for _weight, mean, sd in parts)
    high = max(mean + _FAR * sd for _weight, mean, sd in parts)
    for _halving in range(_HALVINGS):
        middle = (low + high) / 2
        if sum(weight * one.cdf(middle) for weight, one in dists) < probability:
            low = middle
        else:
            high = middle
    return (low + high) / 2
