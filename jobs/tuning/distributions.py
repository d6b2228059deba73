"""The three quantiles that the intervals need: normal, beta, Student's t.

They are written here so that no page waits for a numerical library to load. The tests
compare each with scipy.
"""

import math
from functools import lru_cache
from statistics import NormalDist

from .argument_checks import checked
from .refusal import Refused, positive
from .solve import root
from .words import _

_TINY = 1e-300
_TERMS = 500


@checked
def normal_quantile(*, probability: float) -> float:
    """z with P(Z <= z) = ``probability``, 0 < probability < 1.

    >>> round(normal_quantile(probability=0.975), 6)
    1.959964
    """
    return NormalDist().inv_cdf(_probability(probability))


@checked
def beta_cdf(*, x: float, a: float, b: float) -> float:
    """Regularised incomplete beta function I_x(a, b), 0 <= x <= 1, a and b above 0.

    Continued fraction by Lentz's method (NIST DLMF 8.17.22).

    >>> beta_cdf(x=0.5, a=2, b=2)
    0.5
    """
    positive(a, "a")
    positive(b, "b")
    return _beta_cdf(x, a, b)


def _beta_cdf(x: float, a: float, b: float) -> float:
    if x <= 0:
        return 0.0
    if x >= 1:
        return 1.0
    front = math.exp(
        a * math.log(x) + b * math.log1p(-x) + math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b)
    )
    if x < (a + 1) / (a + b + 2):
        return front * _fraction(x, a, b) / a
    return 1 - front * _fraction(1 - x, b, a) / b


@lru_cache(maxsize=512)
@checked
def beta_quantile(*, probability: float, a: float, b: float) -> float:
    """x with I_x(a, b) = ``probability``.

    >>> round(beta_quantile(probability=0.5, a=2, b=2), 12)
    0.5
    """
    wanted = _probability(probability)
    positive(a, "a")
    positive(b, "b")
    return root(lambda x: _beta_cdf(x, a, b) - wanted, 0.0, 1.0, tolerance=1e-14)


@lru_cache(maxsize=512)
@checked
def t_quantile(*, probability: float, degrees: float) -> float:
    """Student's t with ``degrees`` of freedom (1 or more; they need not be whole).

    By t = sqrt(nu (1-x)/x) with x from the beta distribution (NIST DLMF 8.17, and Abramowitz
    and Stegun 26.7.1).

    >>> round(t_quantile(probability=0.975, degrees=4), 6)
    2.776445
    """
    if degrees < 1:
        raise Refused(_("An interval needs more readings than the line has unknowns."))
    tail = min(_probability(probability), 1 - probability)
    if tail == 0.5:
        return 0.0
    x = beta_quantile(probability=2 * tail, a=degrees / 2, b=0.5)
    t = math.sqrt(degrees * (1 - x) / x)
    return t if probability > 0.5 else -t


def _probability(value: float) -> float:
    if not 0 < value < 1:
        raise Refused(_("A probability lies between 0 and 1; {given:g} was given.", given=value))
    return value


def _fraction(x: float, a: float, b: float) -> float:
    c, d = 1.0, _away_from_zero(1 - (a + b) * x / (a + 1))
    d = 1 / d
    value = d
    for m in range(1, _TERMS):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        for numerator in (even, odd):
            d = 1 / _away_from_zero(1 + numerator * d)
            c = _away_from_zero(1 + numerator / c)
            value *= c * d
        if abs(c * d - 1) < 1e-15:
            break
    return value


def _away_from_zero(value: float) -> float:
    return value if abs(value) > _TINY else _TINY
