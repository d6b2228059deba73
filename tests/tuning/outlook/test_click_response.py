"""What a click does, partially pooled: against published data and against linear algebra."""

import itertools
import math
import random

import numpy as np
import pytest
from scipy import stats

from jobs.tuning.outlook import ClickPrior, PushPair, response, seconds_next
from jobs.tuning.outlook.click_response import (
    _OF_A_PAIR,
    _SPREADS,
    _cell,
    _model,
    _of_adjuster,
    _Sums,
)
from jobs.tuning.outlook.normal_mixture import mixture_quantile

# Gelman and others, Bayesian Data Analysis, 3rd ed., table 5.2: effects and standard errors of
# coaching in eight schools. Quantiles 25, 50 and 75 % of table 5.3, of 200 draws (from memory).
EFFECTS = (28, 8, -3, 7, -1, 1, 18, 12)
ERRORS = (15, 10, 16, 11, 9, 11, 10, 18)
TABLE = (
    (7, 10, 16), (3, 8, 12), (2, 7, 11), (4, 7, 11), (1, 5, 9), (2, 6, 10), (7, 10, 15), (3, 8, 13),
)  # fmt: skip


def test_eight_schools():
    """A school is an adjuster; its standard error stands for the clicks of its pairs."""
    names = [str(number) for number in range(8)]
    sums = _Sums(adjusters={"schools": names}, pairs=8)
    for name, effect, error in zip(names, EFFECTS, ERRORS, strict=True):
        sums.clicks2[name], sums.clicks_log[name] = 1 / error**2, effect / error**2
    flat = ClickPrior(mean=0, mean_sd=1e4, spread=1e9)
    cells = []
    for tenth in range(1, 600):
        models = {"schools": _model(sums, names, 1.0, tenth / 10)}
        cells.append(_cell(models, flat, 0.0, (1.0, tenth / 10, 0.0)))
    top = max(cell.log_weight for cell in cells)
    total = sum(math.exp(cell.log_weight - top) for cell in cells)
    for name, quartiles in zip(names, TABLE, strict=True):
        parts = [
            (
                math.exp(cell.log_weight - top) / total,
                *_of_adjuster(cell, sums, name, "schools")[:2],
            )
            for cell in cells
        ]
        got = [mixture_quantile(parts, q) for q in (0.25, 0.5, 0.75)]
        assert [abs(round(a) - b) <= 1 for a, b in zip(got, quartiles, strict=True)] == [True] * 3


def pair(adjuster, model, clicks, log_ratio):
    return PushPair(adjuster, model, clicks, 1.0, math.exp(log_ratio), "hot", "hot")


PAIRS = [
    pair("a1", "a", -3, -0.30), pair("a1", "a", 2, 0.02), pair("a2", "a", 4, 0.31),
    pair("b1", "b", -2, 0.05), pair("b1", "b", 3, 0.22), pair("b1", "b", 3, -0.04),
]  # fmt: skip


def _by_linear_algebra(adjuster, model):
    """Mean and standard deviation by the joint normal of everything, cell by cell of the grid."""
    units = [("a1", "a"), ("a2", "a"), ("b1", "b"), ("c1", "c")]
    which = units.index((adjuster, model))
    clicks = np.array([p.clicks_firmer for p in PAIRS])
    ratios = np.array([p.log_ratio for p in PAIRS])
    design = np.array([[p.adjuster == unit for unit, _m in units] for p in PAIRS]) * clicks[:, None]
    same_model = np.array([[m == n for _u, n in units] for _v, m in units], float)
    logs, means, variances = [], [], []
    for s, ta, tm in itertools.product(_OF_A_PAIR, _SPREADS, _SPREADS):
        prior = 0.05**2 + tm**2 * same_model + ta**2 * np.eye(4)
        covariance = design @ prior @ design.T + s**2 * np.eye(len(PAIRS))
        middle = design @ np.full(4, 0.05)
        gain = prior @ design.T @ np.linalg.inv(covariance)
        likely = stats.multivariate_normal.logpdf(ratios, middle, covariance)
        logs.append(likely - math.log(s) - (ta**2 + tm**2) / (2 * 0.02**2))
        means.append((0.05 + gain @ (ratios - middle))[which])
        variances.append((prior - gain @ design @ prior)[which, which])
    weights = np.exp(np.array(logs) - max(logs))
    weights /= weights.sum()
    mean = float(weights @ np.array(means))
    spread = float(weights @ (np.array(variances) + (np.array(means) - mean) ** 2))
    return mean, math.sqrt(spread)


@pytest.mark.parametrize(("adjuster", "model"), [("a1", "a"), ("b1", "b"), ("c1", "c")])
def test_the_response_is_that_of_the_joint_normal(adjuster, model):
    got = response(pairs=PAIRS, adjuster=adjuster, model=model)
    mean, sd = _by_linear_algebra(adjuster, model)
    assert got.per_click == pytest.approx(mean, abs=1e-5)
    assert got.sd == pytest.approx(sd, abs=1e-5)
    assert got.low < got.per_click < got.high


def test_without_any_pair_the_trades_click_is_what_is_known():
    got = response(pairs=[], adjuster="x", model="y")
    assert got.per_click == pytest.approx(0.05)
    assert (got.own_share, got.pairs) == (0, 0)
    assert got.low < 0 < got.high


def test_one_pair_of_ones_own_hardly_counts_and_eight_count_more():
    rng = random.Random(5)

    def seen(adjuster, count):
        return [pair(adjuster, "m", -3, rng.gauss(-0.15, 0.25)) for _ in range(count)]

    others = [one for number in range(20) for one in seen(f"other {number}", 3)]
    shares = [
        response(pairs=[*others, *seen("own", count)], adjuster="own", model="m").own_share
        for count in (0, 1, 8)
    ]
    assert [round(share, 1) for share in shares] == [0.0, 0.0, 0.2]
    assert 0 < shares[1] < 0.1 < shares[2]


def test_the_next_push_is_told_with_the_scatter_of_a_stopwatch():
    found = response(pairs=PAIRS, adjuster="a1", model="a")
    middle, low, high = seconds_next(response=found, seconds_now=1.0, clicks_firmer=3)
    assert low < 1.0 < middle < high  # the sign of one pair is often wrong
