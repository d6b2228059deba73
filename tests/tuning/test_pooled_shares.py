"""Shares of groups that learn from one another, against printed values and scipy's mixtures."""

import math

import pytest
from scipy import stats
from scipy.optimize import brentq, minimize

from jobs.tuning import Refused
from jobs.tuning.evidence import JudgedExpectation, tally
from jobs.tuning.pooled_shares import log_likelihood, pooled_shares, populations
from jobs.tuning.terms import Verdict

# Tumours of rats in 70 groups, and a last group of 4 of 14 (Tarone, Biometrics 38, 1982, as in
# table 5.1 of Gelman and others, Bayesian Data Analysis, 3rd ed.).
SEEN = (*(0,) * 14, *(1,) * 8, *(2,) * 9, 1, 5, 2, 5, 3, 2, 7, 7, 3, 3, 2, 9, 10, *(4,) * 7, 10,
        4, 4, 4, 5, 11, 12, 5, 5, 6, 5, 6, 6, 6, 6, 16, 15, 15, 9, 4)  # fmt: skip
OF = (*(20,) * 7, *(19,) * 4, 18, 18, 17, 20, 20, 20, 20, 19, 19, 18, 18, 25, 24, 23, *(20,) * 6,
      10, 49, 19, 46, 27, 17, 49, 47, 20, 20, 13, 48, 50, *(20,) * 7, 48, 19, 19, 19, 22, 46, 49,
      20, 20, 23, 19, 22, 20, 20, 20, 52, 46, 47, 24, 14)  # fmt: skip
RATS = list(zip(SEEN, OF, strict=True))
EARLIER, CURRENT = RATS[:-1], RATS[-1]


def test_the_likeliest_spread_of_rats_is_the_printed_one():
    """The vignette of R's package BayesGOF prints alpha 2.304768 and beta 14.079707."""

    def unlikely(logs):
        return -log_likelihood(counts=EARLIER, a=math.exp(logs[0]), b=math.exp(logs[1]))

    found = minimize(
        unlikely, [0.5, 2.5], method="Nelder-Mead", options={"xatol": 1e-8, "fatol": 1e-10}
    )
    assert [math.exp(x) for x in found.x] == pytest.approx([2.304768, 14.079707], rel=1e-4)


def test_the_expected_spread_of_rats_is_that_of_the_book():
    """Bayesian Data Analysis, section 5.3, from memory: E(alpha) 2.4, E(beta) 14.3."""
    cells = populations(counts=RATS, means=80, sizes=40)
    assert sum(one.weight for one in cells) == pytest.approx(1)
    alpha = sum(one.weight * one.mean * one.size for one in cells)
    beta = sum(one.weight * (1 - one.mean) * one.size for one in cells)
    assert (round(alpha, 1), round(beta, 1)) == (2.4, 14.3)


def test_the_last_group_of_rats_is_drawn_towards_the_others():
    """4 of 14 alone is 0.286. Beta(5.4, 18.6), mean 0.225, is the book's first estimate."""
    share = pooled_shares(counts=RATS)[-1]
    assert share.middle == pytest.approx(0.21, abs=0.01)
    assert share.own_share == pytest.approx(14 / (14 + 16.5), abs=0.03)


@pytest.mark.parametrize(
    "counts", [[(3, 4), (1, 5), (7, 9), (0, 2)], [(5, 6)], [(0, 3), (8, 8)], [(0, 0), (9, 10)]]
)
def test_the_interval_is_that_of_the_mixture_to_one_in_a_hundred(counts):
    """The mixture's own quantiles, by scipy; ours take the means of one size together."""
    cells = populations(counts=counts)

    def below(x, k, n):
        return sum(
            one.weight
            * stats.beta.cdf(x, one.mean * one.size + k, (1 - one.mean) * one.size + n - k)
            for one in cells
        )

    for (k, n), share in zip(counts, pooled_shares(counts=counts), strict=True):
        low, high = (
            brentq(lambda x, p=p, k=k, n=n: below(x, k, n) - p, 1e-12, 1 - 1e-12)
            for p in (0.025, 0.975)
        )
        assert (share.low, share.high) == (
            pytest.approx(low, abs=0.012), pytest.approx(high, abs=0.012),
        )  # fmt: skip


def test_a_coarse_grid_says_the_same_as_a_fine_one():
    counts = [(3, 4), (1, 5), (7, 9), (0, 2)]

    def middle(**grid):
        cells = populations(counts=counts, **grid)
        return sum(one.weight * (one.mean * one.size + 1) / (one.size + 5) for one in cells)

    assert middle() == pytest.approx(middle(means=200, sizes=100), abs=0.003)


def test_groups_that_differ_keep_their_own_and_groups_alike_lend_to_one_another():
    apart = pooled_shares(counts=[(0, 10), (10, 10), (0, 10), (10, 10), (2, 2)])
    alike = pooled_shares(counts=[(5, 10), (5, 10), (5, 10), (5, 10), (2, 2)])
    assert apart[-1].own_share > alike[-1].own_share
    assert apart[0].middle < 0.1 < 0.9 < apart[1].middle
    assert alike[-1].middle < 0.65
    alone = pooled_shares(counts=[(2, 2)])[0]
    assert alone.high - alone.low > alike[-1].high - alike[-1].low


def test_a_group_with_no_counts_has_the_spread_of_all():
    none, some = pooled_shares(counts=[(0, 0), (9, 10)])
    assert none.own_share == 0
    assert none.low < some.low
    assert none.middle > 0.5


@pytest.mark.parametrize("counts", [[(3, 2)], [(-1, 2)]])
def test_more_seen_than_judged_is_refused(counts):
    with pytest.raises(Refused, match="is no count of something seen"):
        pooled_shares(counts=counts)


def judged(verdict, bike, model, **more):
    return JudgedExpectation(
        "V1", "front", ("spring",), "firmer", verdict, bike, 1, bike_class=model, **more
    )


def test_what_a_ring_told_that_cannot_tell_counts_for_nothing_and_the_rest_counts_by_model():
    rows = [
        judged(Verdict.SEEN, 1, "Alba 600"),
        judged(Verdict.SEEN, 2, "Alba 600"),
        judged(Verdict.NOT_SEEN, 3, "Corvo R"),
        judged(Verdict.PARTLY, 4, "Corvo R"),
        judged(Verdict.SEEN, 5, "Corvo R", ring_cannot_tell=True),
        judged(Verdict.SEEN, 6, "Corvo R", ring_cannot_tell=True, also_changed=("tyre",)),
        judged(Verdict.NOT_TESTED, 7, "Dorn S"),
    ]
    (found,) = tally(rows)
    assert (found.seen, found.judged, found.ring_cannot_tell, found.confounded) == (2, 4, 1, 1)
    assert [(one.of, one.seen, one.judged) for one in found.classes] == [
        ("Alba 600", 2, 2), ("Corvo R", 0, 2),
    ]  # fmt: skip
    assert (found.of_bike(3).seen, found.of_bike(3).judged) == (0, 1)
    assert found.of_bike(5).judged == 0
    (alba, more), (corvo, less) = found.of_classes()
    assert (alba.of, corvo.of) == ("Alba 600", "Corvo R")
    assert 0 < less.middle < more.middle < 1
    counted, unknown = found.of_class("Dorn S")
    assert (counted.judged, unknown.own_share) == (0, 0)
    assert less.middle < unknown.middle < more.middle
