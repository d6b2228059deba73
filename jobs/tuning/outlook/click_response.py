"""What a click does to the seconds of a hot push: this adjuster, its model, and all others.

ln(seconds after / seconds before) = clicks * beta + e, e ~ N(0, s^2); beta of an adjuster
~ N(its model's, ta^2); of a model ~ N(mu, tm^2); mu ~ N(0.05, 0.05^2) per click firmer. Given the
three spreads everything is normal; they are summed out over a grid. Partial pooling: Gelman and
others, Bayesian Data Analysis, 3rd ed., chapter 5. The priors are simulated, no published source.
"""

import itertools
import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from statistics import NormalDist

from ..argument_checks import checked
from ..refusal import Refused, one_of, positive, within
from ..terms import OilState
from ..words import _
from .normal_mixture import Part, mixture_quantile


@checked
@dataclass(frozen=True)
class ClickPrior:
    """What is believed of clicks before any pair: ln seconds per click firmer.

    The mean of all models and how sure of it; ``spread``: how far models, and adjusters of one
    model, are believed to differ (half-normal).
    """

    mean: float = 0.05
    mean_sd: float = 0.05
    spread: float = 0.02

    def __post_init__(self) -> None:
        positive(self.mean_sd, _("how sure of the mean"))
        positive(self.spread, _("spread"))


CLICK_PRIOR = ClickPrior()
_SPREADS = (0.0, 0.004, 0.008, 0.012, 0.017, 0.023, 0.030, 0.040, 0.055)
_OF_A_PAIR = (0.08, 0.10, 0.12, 0.14, 0.165, 0.19, 0.22, 0.26, 0.31, 0.37)
_LEAST_LOG_WEIGHT = -12.0
TAIL = 0.05


@checked
@dataclass(frozen=True)
class PushPair:
    """Two push tests about one change of one adjuster; ``clicks_firmer`` below zero: softer."""

    adjuster: str
    model: str
    clicks_firmer: float
    before_s: float
    after_s: float
    before_oil: str
    after_oil: str

    def __post_init__(self) -> None:
        clicks = within(self.clicks_firmer, -60, 60, what=_("clicks"))
        if clicks == 0:
            raise Refused(_("Between two push tests with no click there is nothing to learn."))
        for seconds in (self.before_s, self.after_s):
            within(seconds, 0.15, 15, what=_("seconds of a push"), unit="s")
        oils = {one_of(oil, OilState, what=_("oil")) for oil in (self.before_oil, self.after_oil)}
        if oils != {OilState.HOT}:
            raise Refused(
                _(
                    "The oil was not equally hot: before {before}, after {after}. Such a pair "
                    "says nothing of the clicks.",
                    before=self.before_oil,
                    after=self.after_oil,
                )
            )

    @property
    def log_ratio(self) -> float:
        return math.log(self.after_s / self.before_s)


@checked
@dataclass(frozen=True)
class Response:
    """ln seconds per click firmer: middle, 90 % from ``low`` to ``high``.

    ``own_share``: how much of the middle is this adjuster's own pairs, 0 to 1. ``pair_sd``: the
    spread of one pair.
    """

    per_click: float
    low: float
    high: float
    sd: float
    own_share: float
    pair_sd: float
    pairs: int


@checked
def response(
    *, pairs: Sequence[PushPair], adjuster: str, model: str, prior: ClickPrior = CLICK_PRIOR
) -> Response:
    """The response of one adjuster, partly its own, partly its model's, partly everybody's.

    >>> hot = [PushPair("a", "m", -3, 1.0, 0.85, "hot", "hot") for _ in range(8)]
    >>> found = response(pairs=hot, adjuster="a", model="m")
    >>> 0.04 < found.per_click < 0.06, found.pairs
    (True, 8)
    """
    sums = _sums(pairs)
    cells = list(_cells(sums, prior))
    top = max(cell.log_weight for cell in cells)
    kept = [cell for cell in cells if cell.log_weight > top + _LEAST_LOG_WEIGHT]
    total = sum(math.exp(cell.log_weight - top) for cell in kept)
    parts: list[Part] = []
    own = of_a_pair = 0.0
    for cell in kept:
        weight = math.exp(cell.log_weight - top) / total
        middle, sd, share = _of_adjuster(cell, sums, adjuster, model)
        parts.append((weight, middle, sd))
        own += weight * share
        of_a_pair += weight * cell.pair_sd
    middle = sum(w * m for w, m, _sd in parts)
    variance = sum(w * (sd * sd + (m - middle) ** 2) for w, m, sd in parts)
    return Response(
        per_click=middle,
        low=mixture_quantile(parts, TAIL),
        high=mixture_quantile(parts, 1 - TAIL),
        sd=math.sqrt(variance),
        own_share=own,
        pair_sd=of_a_pair,
        pairs=sums.pairs,
    )


@checked
def seconds_next(
    *, response: Response, seconds_now: float, clicks_firmer: float
) -> tuple[float, float, float]:
    """The seconds of the next hot push: middle, and 90 % from to.

    >>> found = Response(0.05, 0.02, 0.08, 0.018, 0.1, 0.25, 4)
    >>> [round(s, 2) for s in seconds_next(response=found, seconds_now=1.0, clicks_firmer=-3)]
    [0.86, 0.57, 1.31]
    """
    now = within(seconds_now, 0.15, 15, what=_("seconds of a push"), unit="s")
    clicks = within(clicks_firmer, -60, 60, what=_("clicks"))
    half = NormalDist().inv_cdf(1 - TAIL) * math.hypot(clicks * response.sd, response.pair_sd)
    middle = clicks * response.per_click
    low, high = (now * math.exp(middle + half * sign) for sign in (-1, 1))
    return now * math.exp(middle), low, high


@dataclass
class _Sums:
    """Of each adjuster: clicks squared, clicks times log ratio; what no response explains."""

    clicks2: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    clicks_log: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    adjusters: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    unexplained: float = 0.0
    pairs: int = 0

    def own(self, adjuster: str) -> float:
        return self.clicks_log[adjuster] / self.clicks2[adjuster]


@dataclass(frozen=True)
class _Model:
    """A model's mean response by its own adjusters, its variance, and how likely they are."""

    mean: float
    variance: float
    log_likelihood: float


@dataclass(frozen=True)
class _Cell:
    """One choice of the three spreads, with the mean of all models."""

    log_weight: float
    pair_sd: float
    adjuster_sd: float
    model_sd: float
    mean: float
    variance: float
    models: dict[str, _Model]


def _sums(pairs: Sequence[PushPair]) -> _Sums:
    sums = _Sums(pairs=len(pairs))
    squares = 0.0
    for pair in pairs:
        if pair.adjuster not in sums.clicks2:
            sums.adjusters[pair.model].append(pair.adjuster)
        sums.clicks2[pair.adjuster] += pair.clicks_firmer**2
        sums.clicks_log[pair.adjuster] += pair.clicks_firmer * pair.log_ratio
        squares += pair.log_ratio**2
    explained = sum(sums.clicks_log[a] ** 2 / sums.clicks2[a] for a in sums.clicks2)
    sums.unexplained = squares - explained
    return sums


def _cells(sums: _Sums, prior: ClickPrior) -> Iterator[_Cell]:
    for pair_sd, adjuster_sd in itertools.product(_OF_A_PAIR, _SPREADS):
        models = {
            model: _model(sums, adjusters, pair_sd, adjuster_sd)
            for model, adjusters in sums.adjusters.items()
        }
        pairs = -(sums.pairs + 1) * math.log(pair_sd) - sums.unexplained / (2 * pair_sd**2)
        pairs += sum(math.log(pair_sd / math.sqrt(one)) for one in sums.clicks2.values())
        for model_sd in _SPREADS:
            yield _cell(models, prior, pairs, (pair_sd, adjuster_sd, model_sd))


def _model(sums: _Sums, adjusters: list[str], pair_sd: float, adjuster_sd: float) -> _Model:
    variances = [adjuster_sd**2 + pair_sd**2 / sums.clicks2[a] for a in adjusters]
    weight = sum(1 / v for v in variances)
    mean = sum(sums.own(a) / v for a, v in zip(adjusters, variances, strict=True)) / weight
    likely = sum(
        _log_normal(sums.own(a) - mean, v) for a, v in zip(adjusters, variances, strict=True)
    )
    return _Model(mean, 1 / weight, likely + 0.5 * math.log(2 * math.pi / weight))


def _cell(
    models: dict[str, _Model], prior: ClickPrior, pairs: float, sds: tuple[float, float, float]
) -> _Cell:
    pair_sd, adjuster_sd, model_sd = sds
    weight, weighted = 1 / prior.mean_sd**2, prior.mean / prior.mean_sd**2
    for one in models.values():
        weight += 1 / (model_sd**2 + one.variance)
        weighted += one.mean / (model_sd**2 + one.variance)
    mean, variance = weighted / weight, 1 / weight
    log_weight = pairs + 0.5 * math.log(variance)
    log_weight -= (mean - prior.mean) ** 2 / (2 * prior.mean_sd**2)
    log_weight -= (adjuster_sd**2 + model_sd**2) / (2 * prior.spread**2)
    for one in models.values():
        between = _log_normal(one.mean - mean, model_sd**2 + one.variance)
        log_weight += one.log_likelihood + between
    return _Cell(log_weight, pair_sd, adjuster_sd, model_sd, mean, variance, models)


def _of_adjuster(cell: _Cell, sums: _Sums, adjuster: str, model: str) -> tuple[float, float, float]:
    """Mean, standard deviation and own share of one adjuster's response in one cell."""
    mean, variance = _model_without(cell, sums, adjuster, model)
    variance += cell.adjuster_sd**2
    if adjuster not in sums.clicks2:
        return mean, math.sqrt(variance), 0.0
    own = sums.clicks2[adjuster] / cell.pair_sd**2
    weight = own + 1 / variance
    middle = (sums.clicks_log[adjuster] / cell.pair_sd**2 + mean / variance) / weight
    return middle, math.sqrt(1 / weight), own / weight


def _model_without(cell: _Cell, sums: _Sums, adjuster: str, model: str) -> tuple[float, float]:
    """The model's mean by everything except this adjuster's own pairs."""
    if model not in cell.models:
        return cell.mean, cell.model_sd**2 + cell.variance
    weight = weighted = 0.0
    for other in sums.adjusters[model]:
        if other != adjuster:
            variance = cell.adjuster_sd**2 + cell.pair_sd**2 / sums.clicks2[other]
            weight += 1 / variance
            weighted += sums.own(other) / variance
    one = cell.models[model]
    taken = 1 / (cell.model_sd**2 + one.variance)
    rest = 1 / cell.variance - taken
    mean_of_rest = (cell.mean / cell.variance - one.mean * taken) / rest
    from_rest = cell.model_sd**2 + 1 / rest
    weight += 1 / from_rest
    weighted += mean_of_rest / from_rest
    return weighted / weight, 1 / weight


def _log_normal(distance: float, variance: float) -> float:
    return -0.5 * math.log(2 * math.pi * variance) - distance**2 / (2 * variance)
