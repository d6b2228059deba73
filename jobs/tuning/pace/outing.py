"""The pace of one outing, and whether another outing was faster with certainty.

Sources: Iglewicz and Hoaglin, How to Detect and Handle Outliers (1993), modified z score;
Hollander and Wolfe, Nonparametric Statistical Methods, for the Hodges-Lehmann shift and the
interval from the exact Mann-Whitney distribution.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist, median

from ..argument_checks import checked
from ..distributions import normal_quantile
from ..refusal import Refused, positive, within
from ..words import _
from .laps import Lap

OUTLIER_SCORE = 3.5
MAD_TO_SIGMA = 1.4826
_SCORE_FACTOR = 0.6745
FEWEST_CLEAN_LAPS = 3
FEWEST_TO_COMPARE = 4
PACE_TRIGGER_S = 3.0  # common practice, no source; per business
CONFIDENCE = 0.95


@checked
@dataclass(frozen=True)
class OutingPace:
    """One outing: seconds. ``dropped``: slow or marked laps. ``fast``: unusually fast ones."""

    best_s: float
    median_s: float
    clean: tuple[float, ...]
    dropped: tuple[float, ...]
    fast: tuple[float, ...]

    @property
    def n(self) -> int:
        return len(self.clean)


@checked
def median_absolute_deviation(values: Sequence[float], *, constant: float = MAD_TO_SIGMA) -> float:
    """MAD times ``constant`` (1.4826 makes it a standard deviation for normal data).

    >>> round(median_absolute_deviation(range(1, 10)), 4)
    2.9652
    """
    if not values:
        raise Refused(_("There are no values."))
    middle = median(values)
    return constant * median(abs(value - middle) for value in values)


@checked
def outing_pace(*, laps: Sequence[Lap], resolution_s: float = 0.1) -> OutingPace:
    """Best and median of the clean laps of one outing, 3 or more.

    Out, in and flagged laps are dropped; then slow ones with 0.6745 (x - median) / MAD above
    3.5. Fast ones beyond it are kept and flagged. A MAD of 0 is taken as the timing's
    resolution. Source: Iglewicz and Hoaglin 1993.

    >>> times = (121.9, 103.4, 102.8, 102.5, 102.9, 108.7, 102.6, 103.1, 102.7, 130.2)
    >>> pace = outing_pace(laps=[Lap(t) for t in times])
    >>> pace.dropped, pace.median_s, pace.best_s
    ((121.9, 108.7, 130.2), 102.8, 102.5)
    """
    resolution = positive(resolution_s, _("timing resolution"), "s")
    ridden = [lap.seconds for lap in laps if not lap.mark]
    if len(ridden) < FEWEST_CLEAN_LAPS:
        raise _too_few(len(ridden))
    middle = median(ridden)
    spread = median_absolute_deviation(ridden, constant=1.0) or resolution
    scores = {seconds: _SCORE_FACTOR * (seconds - middle) / spread for seconds in ridden}
    clean = tuple(s for s in ridden if scores[s] <= OUTLIER_SCORE)
    if len(clean) < FEWEST_CLEAN_LAPS:
        raise _too_few(len(clean))
    return OutingPace(
        best_s=min(clean),
        median_s=median(clean),
        clean=clean,
        dropped=tuple(
            lap.seconds for lap in laps if lap.mark or scores[lap.seconds] > OUTLIER_SCORE
        ),
        fast=tuple(s for s in clean if scores[s] < -OUTLIER_SCORE),
    )


def _too_few(n: int) -> Refused:
    return Refused(
        _(
            "{n} clean laps are too few to speak of pace: at least {least}.",
            n=n,
            least=FEWEST_CLEAN_LAPS,
        )
    )


@checked
@dataclass(frozen=True)
class PaceChange:
    """Shift in seconds, below zero faster, with its interval and the level that interval has.

    ``level``: how often such an interval holds the true shift, 0.95 or more from 4 laps a side
    on; with 3 a side no interval does better than 0.90.
    """

    shift_s: float
    low_s: float
    high_s: float
    n_before: int
    n_after: int
    level: float

    @property
    def certain(self) -> bool:
        """Whether the interval does not contain 0."""
        return self.high_s < 0 or self.low_s > 0


@checked
def hodges_lehmann(*, before: Sequence[float], after: Sequence[float]) -> PaceChange:
    """Median of all differences after - before, with the exact Mann-Whitney interval.

    3 to 60 laps a side. The interval runs from the C-th smallest to the C-th largest
    difference, C the 2.5 % point of U (at least 1), and has the level 1 - 2 P(U < C). Source:
    Hollander and Wolfe.

    >>> shift = hodges_lehmann(before=(103.4, 102.8, 102.5, 102.9, 102.6, 103.1, 102.7),
    ...                        after=(99.6, 99.9, 99.2, 100.4, 99.5, 99.8))
    >>> round(shift.shift_s, 2), round(shift.low_s, 2), round(shift.high_s, 2)
    (-3.1, -3.6, -2.7)
    >>> round(hodges_lehmann(before=(103, 103.4, 102.8), after=(99.6, 99.9, 99.2)).level, 3)
    0.9
    """
    if min(len(before), len(after)) < FEWEST_CLEAN_LAPS:
        raise _too_few(min(len(before), len(after)))
    before, after = _checked_count(before), _checked_count(after)
    differences = sorted(a - b for a in after for b in before)
    count = max(1, critical_count(len(before), len(after)))
    return PaceChange(
        shift_s=median(differences),
        low_s=differences[count - 1],
        high_s=differences[-count],
        n_before=len(before),
        n_after=len(after),
        level=interval_level(len(before), len(after)),
    )


@checked
def pace_change(*, before: OutingPace, after: OutingPace) -> PaceChange:
    """The change between two outings, from their clean laps.

    >>> laps = [Lap(103.0), Lap(103.2), Lap(103.1), Lap(103.3)]
    >>> slow = outing_pace(laps=laps)
    >>> quick = outing_pace(laps=[Lap(lap.seconds - 4) for lap in laps])
    >>> round(pace_change(before=slow, after=quick).shift_s, 6)
    -4.0
    """
    return hodges_lehmann(before=before.clean, after=after.clean)


@checked
def reopens(
    *,
    change: PaceChange,
    same_layout: bool,
    same_wetness: bool,
    trigger_s: float = PACE_TRIGGER_S,
) -> tuple[bool, str]:
    """Whether a change of pace reopens a settled bike, and the sentence for it.

    Faster by ``trigger_s`` (about 3 s is common practice, no source), for certain, on 4 or
    more laps a side, same layout and same wet or dry. Slower only asks.

    >>> change = PaceChange(-3.4, -3.9, -2.8, n_before=7, n_after=6, level=0.95)
    >>> reopens(change=change, same_layout=True, same_wetness=True)
    (True, '3.4 s faster: look at the setup again.')
    """
    trigger = positive(trigger_s, _("pace trigger"), "s")
    if not (same_layout and same_wetness):
        return False, _("Another layout, or wet against dry: pace cannot be compared.")
    if min(change.n_before, change.n_after) < FEWEST_TO_COMPARE:
        return False, _("Too few laps a side to compare: {least} or more.", least=FEWEST_TO_COMPARE)
    if not change.certain:
        return False, _("No change of pace that the laps can show.")
    if change.shift_s <= -trigger:
        return True, _("{by:.1f} s faster: look at the setup again.", by=-change.shift_s)
    if change.shift_s >= trigger:
        return False, _("{by:.1f} s slower: ask the rider why.", by=change.shift_s)
    return False, _(
        "{by:+.1f} s, under the {trigger:g} s that reopen a setup.",
        by=change.shift_s,
        trigger=trigger,
    )


MOST_LAPS = 60
MAX_EXACT_PAIRS = 625  # with more, exact counting takes too long for a page


def _checked_count(values: Sequence[float]) -> Sequence[float]:
    if len(values) > MOST_LAPS:
        raise Refused(
            _(
                "{n} laps are more than one outing has; {most} at most.",
                n=len(values),
                most=MOST_LAPS,
            )
        )
    return values


@lru_cache(maxsize=256)
@checked
def critical_count(m: int, n: int) -> int:
    """Smallest u with P(U <= u) >= 2.5 %: exact up to 25 laps against 25, beyond that by the
    large-sample formula m n / 2 - z sqrt(m n (m + n + 1) / 12). Source: Hollander and Wolfe.

    >>> critical_count(7, 6), critical_count(60, 60)
    (7, 1427)
    """
    for laps in (m, n):
        within(laps, 1, 10_000, what=_("number of laps"))
    tail = (1 - CONFIDENCE) / 2
    if m * n > MAX_EXACT_PAIRS:
        spread = math.sqrt(m * n * (m + n + 1) / 12)
        return math.ceil(m * n / 2 + normal_quantile(probability=tail) * spread)
    wanted, seen = tail * math.comb(m + n, n), 0
    for u, count in enumerate(_mann_whitney_counts(m, n)):
        seen += count
        if seen >= wanted:
            return u
    return 0


@lru_cache(maxsize=256)
@checked
def interval_level(m: int, n: int) -> float:
    """How often the interval of ``hodges_lehmann`` holds the true shift: 1 - 2 P(U < C).

    Exact up to 25 laps against 25, beyond that by the normal distribution.

    >>> round(interval_level(3, 3), 6), round(interval_level(4, 4), 3)
    (0.9, 0.971)
    """
    count = max(1, critical_count(m, n))
    if m * n > MAX_EXACT_PAIRS:
        spread = math.sqrt(m * n * (m + n + 1) / 12)
        return 1 - 2 * NormalDist().cdf((count - 0.5 - m * n / 2) / spread)
    return 1 - 2 * sum(_mann_whitney_counts(m, n)[:count]) / math.comb(m + n, n)


def _mann_whitney_counts(m: int, n: int) -> list[int]:
    """The number of the C(m+n, n) rankings that give each U: Gaussian binomial coefficients.

    Product of (1 - q^(m+i)) / (1 - q^i) for i = 1..n, each step an exact polynomial.
    """
    size = m * n + 1
    counts = [1] + [0] * (size - 1)
    for i in range(1, n + 1):
        for u in range(size - 1, m + i - 1, -1):
            counts[u] -= counts[u - m - i]
        for u in range(i, size):
            counts[u] += counts[u - i]
    return counts
