"""The learned level and spread of rings, and what is said of the next one."""

import math

import pytest
from scipy import stats
from scipy.optimize import minimize

from jobs.tuning import Refused
from jobs.tuning.distributions import t_quantile
from jobs.tuning.outlook import (
    PRIORS,
    Band,
    EndChange,
    Landed,
    RingPrior,
    RingsThatCount,
    Shift,
    Visible,
    expected_words,
    fork_spring,
    judged_by_the_ring,
    landed,
    outlook_of,
    rings_begin,
    rings_next,
    rings_seen,
    visible,
)
from jobs.tuning.terms import TravelPlace, Verdict

FRONT, SHAFT = PRIORS[TravelPlace.FORK_LEG], PRIORS[TravelPlace.SHOCK_SHAFT]
# The flow of the Nile at Aswan 1871-1970, as R ships it (datasets::Nile).
NILE = (
    1120, 1160, 963, 1210, 1160, 1160, 813, 1230, 1370, 1140, 995, 935, 1110, 994, 1020, 960, 1180,
    799, 958, 1140, 1100, 1210, 1150, 1250, 1260, 1220, 1030, 1100, 774, 840, 874, 694, 940, 833,
    701, 916, 692, 1020, 1050, 969, 831, 726, 456, 824, 702, 1120, 1100, 832, 764, 821, 768, 845,
    864, 862, 698, 845, 744, 796, 1040, 759, 781, 865, 845, 944, 984, 897, 822, 1010, 771, 676,
    649, 846, 812, 742, 801, 1040, 860, 874, 848, 890, 744, 749, 838, 1050, 918, 986, 797, 923,
    975, 815, 1020, 906, 901, 1170, 912, 746, 919, 718, 714, 740,
)  # fmt: skip


def after(*rings, prior=FRONT):
    state = rings_begin(prior=prior)
    for used in rings:
        state = rings_seen(state=state, used_mm=used)
    return state


def _nile(level_variance, reading_variance):
    """The filter over the series in tens, with the two variances known: state, log likelihood."""
    prior = RingPrior(math.sqrt(reading_variance) / 10, 1e7, level_variance / reading_variance)
    state, likely = after(NILE[0] / 10, prior=prior), 0.0
    for flow in NILE[1:]:
        band = rings_next(state=state)
        likely += stats.norm.logpdf(flow, 10 * band.middle_mm, 10 * band.sd_mm)
        state = rings_seen(state=state, used_mm=flow / 10)
    return state, likely


def test_the_variances_of_the_nile_are_those_of_structts():
    """R, StructTS(Nile, "level"): level 1469.1, epsilon 15098.6 (printed in its help)."""
    assert (len(NILE), sum(NILE)) == (100, 91935)
    found = minimize(
        lambda log: -_nile(*map(math.exp, log))[1], (7.29, 9.62), method="Nelder-Mead",
        options={"xatol": 1e-5, "fatol": 1e-8},
    )  # fmt: skip
    level, epsilon = map(math.exp, found.x)
    assert level == pytest.approx(1469.1, rel=5e-4)
    assert epsilon == pytest.approx(15098.6, rel=5e-5)


def test_the_level_of_the_nile_in_1970():
    """Durbin and Koopman, Time Series Analysis by State Space Methods: 798.4 (from memory)."""
    assert 10 * _nile(1469.1, 15098.6)[0].level_mm == pytest.approx(798.37, abs=0.01)


@pytest.mark.parametrize("degrees", [1, 2.5, 7, 8.999, 40.25])
def test_the_quantile_of_t_takes_degrees_that_are_not_whole(degrees):
    for probability in (0.9, 0.95, 0.995):
        got = t_quantile(probability=probability, degrees=degrees)
        assert got == pytest.approx(stats.t.ppf(probability, degrees), rel=1e-9)


def test_without_drift_the_level_is_the_mean_and_the_spread_that_of_the_readings():
    rings = (96.0, 99.5, 93.0, 97.0, 101.0)
    state = after(*rings, prior=RingPrior(spread_mm=3, degrees=1e-9, drift=0))
    mean = sum(rings) / 5
    assert state.level_mm == pytest.approx(mean)
    assert state.variance_mm2 == pytest.approx(sum((r - mean) ** 2 for r in rings) / 4)
    assert state.degrees == pytest.approx(4)


def test_the_band_narrows_from_the_first_ring_to_the_seventh():
    """Half the width by the number of rings that agree, mm: of a study with simulated riders."""
    rings = (96, 98, 94, 97, 95, 99, 96)
    halves = [round(rings_next(state=after(*rings[:n])).half_mm, 1) for n in (1, 2, 7)]
    assert halves == [6.2, 5.2, 4.3]
    shaft = [round(rings_next(state=after(*[28, 28.5, 27.5][:n], prior=SHAFT)).half_mm, 1)
             for n in (1, 2, 3)]  # fmt: skip
    assert shaft == [1.6, 1.4, 1.3]


def test_an_erratic_rider_gets_a_wider_band_than_a_quiet_one():
    quiet, erratic = after(96, 97, 96, 95, 96), after(96, 105, 88, 101, 90)
    assert rings_next(state=erratic).half_mm > 2 * rings_next(state=quiet).half_mm


def test_before_any_ring_there_is_no_band_and_weights_are_not_asked_for():
    with pytest.raises(Refused, match="not worked out from weights and figures"):
        rings_next(state=rings_begin(prior=FRONT))


def test_a_shift_moves_the_band_and_makes_it_wider():
    state = after(96, 98, 95)
    before = rings_next(state=state)
    moved = rings_next(state=state, shift=Shift(-9.9, 0.99))
    assert moved.middle_mm == pytest.approx(before.middle_mm - 9.9)
    assert moved.half_mm > before.half_mm


UNCHANGED = Band(96, 5.2, 2.8, 9)


@pytest.mark.parametrize(
    ("mm", "seen", "outings"),
    [
        (-9.9, Visible.IN_ONE, 1),  # fork springs, 1 N/mm a leg
        (-5.1, Visible.IN_SEVERAL, 4),  # 0.5 N/mm a leg
        (-2.4, Visible.TOO_SMALL, 18),  # 3 mm of fork preload
        (-0.8, Visible.TOO_SMALL, 155),  # one turn
        (0.0, Visible.TOO_SMALL, 0),
    ],
)
def test_only_springs_are_seen_by_one_outing_at_the_front(mm, seen, outings):
    got = visible(shift=Shift(mm, abs(mm) / 10), unchanged=UNCHANGED, spread_mm=2.4)
    assert (got.visible, got.outings) == (seen, outings)


def test_the_count_of_outings_is_that_of_two_means_with_a_power_of_90_percent():
    """Two samples of n with this difference and spread, by the normal distribution of scipy."""
    got = visible(shift=Shift(-5.1, 0.5), unchanged=UNCHANGED, spread_mm=2.4)
    reach = stats.norm.ppf(0.95)

    def power(n):
        return stats.norm.sf(reach - 5.1 / (2.4 * math.sqrt(2 / n)))

    assert power(got.outings) >= 0.9 > power(got.outings - 1)


def test_four_mm_of_shock_preload_are_seen_by_one_outing_and_two_by_a_few():
    band = Band(28, 1.4, 0.75, 9)
    four = visible(shift=Shift(-3.56, 0.36), unchanged=band, spread_mm=0.65)
    two = visible(shift=Shift(-1.78, 0.18), unchanged=band, spread_mm=0.65)
    assert (four.visible, two.visible, two.outings) == (Visible.IN_ONE, Visible.IN_SEVERAL, 3)


@pytest.mark.parametrize(
    ("used", "last", "put_back", "where", "why"),
    [
        (93, 96, None, Landed.INSIDE, ""),
        (93, 93, True, Landed.INSIDE, ""),
        (103, 96, None, Landed.OUTSIDE, ""),
        (93, 93, None, Landed.DOUBTFUL, "was the ring put back?"),
        (93, 96, False, Landed.DOUBTFUL, "was not put back"),
        (112, 96, True, Landed.DOUBTFUL, "did the ring slip?"),
    ],
)
def test_where_a_ring_landed(used, last, put_back, where, why):
    got = landed(band=UNCHANGED, used_mm=used, last_mm=last, put_back=put_back)
    assert (got.landed, why in got.why) == (where, True)
    assert bool(got.why) == bool(why)


def _judged(mm, used):
    shift = Shift(mm, abs(mm) / 10)
    seen = visible(shift=shift, unchanged=UNCHANGED, spread_mm=2.4)
    band = Band(96 + mm, 5.6, 3.0, 9)
    at = landed(band=band, used_mm=used, unchanged=UNCHANGED)
    return judged_by_the_ring(visibility=seen, unchanged=UNCHANGED, landing=at, used_mm=used)


def test_only_a_change_that_one_outing_shows_is_judged_by_the_ring():
    assert _judged(-9.9, 86) == Verdict.SEEN
    assert _judged(-9.9, 96) == Verdict.NOT_SEEN
    assert _judged(-9.9, 91) is None  # in both bands: it favours neither
    assert _judged(-9.9, 70) is None  # the ring is doubted first
    assert _judged(-5.1, 90) is None
    assert _judged(-0.8, 95) is None


def _outlook(change, *rings):
    return outlook_of(
        counted=RingsThatCount(after(*rings), ()),
        spring=fork_spring(pair_n_per_mm=19, preload_mm=20), change=change, usable_mm=120,
    )  # fmt: skip


def test_a_spring_swap_is_told_with_its_band_and_a_turn_is_too_small():
    swap = _outlook(EndChange(rate_n_per_mm=2), 96, 98, 95)
    assert expected_words(outlook=swap).startswith("Ring about 9 mm further from the end of its")
    turn = _outlook(EndChange(preload_mm=1), 96, 98, 95)
    assert expected_words(outlook=turn, sag_moves_mm=-0.9) == (
        "Too small for the ring (0.8 mm in a band of ±4.8): look at sag, it should be 0.9 mm less."
    )
    half = _outlook(EndChange(rate_n_per_mm=1), 96, 98, 95)
    assert "one outing does not show it, about 4 before and 4 after would" in expected_words(
        outlook=half
    )


def test_one_ring_is_said_to_be_one():
    words = "Only one ring of this rider here: the band is wide."
    assert words in _outlook(EndChange(rate_n_per_mm=2), 96).cautions
    assert words not in _outlook(EndChange(rate_n_per_mm=2), 96, 98).cautions
