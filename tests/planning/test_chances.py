"""Chances put right by what came of earlier days."""

import pytest

from jobs.planning.chances import (
    UNPLANNED,
    DayCost,
    Experience,
    Statement,
    experience,
    percent,
)
from jobs.planning.replays import Replays

SURE = Statement(raw=0.99, planned=True, lead=60)


def test_without_earlier_days_the_replays_stand():
    assert Experience().chance(SURE) == 0.99
    assert Experience().chance(SURE._replace(raw=0.0, planned=False)) == UNPLANNED


def test_a_band_says_what_came_true_in_it():
    taught = experience([(SURE, done) for done in [True] * 80 + [False] * 20])
    assert taught.chance(SURE) == pytest.approx((80 + 5 * 0.99) / 105)


@pytest.mark.parametrize(
    "other",
    [SURE._replace(lead=20), SURE._replace(raw=0.5), SURE._replace(planned=False)],
)
def test_bands_do_not_teach_one_another(other):
    taught = experience([(SURE, False)] * 100)
    assert taught.chance(other) == Experience().chance(other)


def test_a_few_statements_change_little():
    assert experience([(SURE, False)]).chance(SURE) == pytest.approx(5 * 0.99 / 6)


def test_a_chance_is_shown_in_steps_and_never_as_certain():
    shown = [percent(chance) for chance in (0.0, 0.01, 0.52, 0.53, 0.874, 0.98, 1.0)]
    assert shown == [5, 5, 50, 55, 85, 95, 95]


def test_the_cost_lies_between_the_plan_and_the_replays_as_it_did_on_earlier_days():
    made = Replays(10, {}, tuple(range(100, 200, 10)))
    taught = experience([], [DayCost(planned=100, replayed=200, came=180)] * 97)
    assert taught.part == pytest.approx((97 * 80 + 3 * 50) / (100 * 100))
    stated = taught.cost(100, made)
    assert stated.mean == pytest.approx(100 + 0.791 * 45)
    assert stated.low == 100
    assert stated.high == pytest.approx(100 + 0.791 * 80)


def test_days_whose_replays_cost_no_more_than_the_plan_teach_nothing_of_cost():
    assert experience([], [DayCost(5, 5, 9)]).part == Experience().part
