"""Shares of several groups that learn from one another: one group's own counts, and all others'.

k_i of n_i ~ binomial(theta_i); theta_i ~ Beta(mean * size, (1 - mean) * size). Given mean and
size each group has a beta distribution; the two are summed out over a grid. The prior is that of
Gelman and others, Bayesian Data Analysis, 3rd ed., section 5.3: density (a + b)^(-5/2), so the
mean is uniform, and so is 1 / sqrt(size), here with a size of at least 1.
"""

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from .argument_checks import checked
from .distributions import beta_cdf
from .refusal import Refused, positive, within
from .solve import root
from .words import _

CONFIDENCE = 0.95
_MEANS, _SIZES, _MOST = 32, 16, 400
_LEAST_LOG_WEIGHT = -14.0
_CLOSE = 1e-3


@checked
@dataclass(frozen=True)
class PooledShare:
    """The share of one group, 95 % from ``low`` to ``high``.

    ``own_share``: how much of the middle is the group's own counts, 0 to 1.
    """

    k: int
    n: int
    middle: float
    low: float
    high: float
    own_share: float


@checked
@dataclass(frozen=True)
class Population:
    """One choice of how groups are spread, and how likely it is: the weights add up to 1."""

    weight: float
    mean: float
    size: float


class _Beta(NamedTuple):
    """A beta distribution in a mixture."""

    weight: float
    a: float
    b: float


@checked
def pooled_shares(*, counts: Sequence[tuple[int, int]]) -> tuple[PooledShare, ...]:
    """The share of each group, drawn towards that of all; (0, 0) is a group with no counts yet.

    >>> few, many, none = pooled_shares(counts=[(1, 1), (30, 60), (0, 0)])
    >>> round(few.middle, 2), round(many.middle, 2), none.own_share
    (0.63, 0.51, 0.0)
    """
    return _pooled(tuple((k, n) for k, n in counts))


@lru_cache(maxsize=512)
def _pooled(counts: tuple[tuple[int, int], ...]) -> tuple[PooledShare, ...]:
    cells = populations(counts=counts)
    return tuple(_share(cells, k, n) for k, n in counts)


@checked
def populations(
    *, counts: Sequence[tuple[int, int]], means: int = _MEANS, sizes: int = _SIZES
) -> tuple[Population, ...]:
    """How likely each mean and size of the groups' spread is; ``means`` by ``sizes`` choices.

    >>> round(sum(one.weight * one.mean for one in populations(counts=[(30, 60)])), 2)
    0.5
    """
    columns, rows = (
        int(within(count, 2, _MOST, what=_("choices of the spread"))) for count in (means, sizes)
    )
    alike = Counter((k, n) for k, n in counts if n)
    cells = []
    for row in range(rows):
        size = ((row + 0.5) / rows) ** -2
        for column in range(columns):
            mean = (column + 0.5) / columns
            a, b = mean * size, (1 - mean) * size
            likely = sum(times * _log_likely(k, n, a, b) for (k, n), times in alike.items())
            cells.append((likely, mean, size))
    top = max(likely for likely, _mean, _size in cells)
    kept = [cell for cell in cells if cell[0] > top + _LEAST_LOG_WEIGHT]
    total = sum(math.exp(likely - top) for likely, _mean, _size in kept)
    return tuple(
        Population(math.exp(likely - top) / total, mean, size) for likely, mean, size in kept
    )


@checked
def log_likelihood(*, counts: Sequence[tuple[int, int]], a: float, b: float) -> float:
    """ln of how likely the counts are where the groups' shares are Beta(a, b).

    Without the binomial coefficients, which are the same for every a and b.

    >>> round(log_likelihood(counts=[(1, 2)], a=1, b=1), 4)
    -1.7918
    """
    positive(a, _("a"))
    positive(b, _("b"))
    return sum(_log_likely(k, n, a, b) for k, n in counts)


def _log_likely(k: int, n: int, a: float, b: float) -> float:
    if not 0 <= k <= n:
        raise Refused(_("{k} of {n} is no count of something seen.", k=k, n=n))
    return (
        math.lgamma(a + k) - math.lgamma(a) + math.lgamma(b + n - k) - math.lgamma(b)
        - math.lgamma(a + b + n) + math.lgamma(a + b)
    )  # fmt: skip


def _share(cells: Sequence[Population], k: int, n: int) -> PooledShare:
    parts = [_beta_of(same, k, n) for same in _by_size(cells)]
    middle = sum(part.weight * part.a / (part.a + part.b) for part in parts)
    tail = (1 - CONFIDENCE) / 2
    return PooledShare(
        k,
        n,
        middle,
        low=_quantile(parts, tail),
        high=_quantile(parts, 1 - tail),
        own_share=sum(cell.weight * n / (cell.size + n) for cell in cells),
    )


def _by_size(cells: Sequence[Population]) -> Iterable[list[Population]]:
    found: dict[float, list[Population]] = {}
    for cell in cells:
        found.setdefault(cell.size, []).append(cell)
    return found.values()


def _beta_of(cells: Sequence[Population], k: int, n: int) -> _Beta:
    """The cells of one size as one beta distribution, of their mean and variance."""
    weight = sum(cell.weight for cell in cells)
    mean = square = 0.0
    for cell in cells:
        a, total = cell.mean * cell.size + k, cell.size + n
        mean += cell.weight / weight * a / total
        square += cell.weight / weight * a * (a + 1) / (total * (total + 1))
    size = mean * (1 - mean) / (square - mean**2) - 1
    return _Beta(weight, mean * size, (1 - mean) * size)


def _quantile(parts: Sequence[_Beta], probability: float) -> float:
    def above(x: float) -> float:
        return sum(part.weight * beta_cdf(x=x, a=part.a, b=part.b) for part in parts) - probability

    return root(above, 0.0, 1.0, tolerance=_CLOSE)
