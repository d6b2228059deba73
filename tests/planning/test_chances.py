"""Chances put right by what came of earlier days."""

import json

import pytest

from jobs.planning.chances import (
    PRIORS,
    UNPLANNED,
    DayCost,
    Experience,
    Statement,
    experience,
    percent,
    planned_of_alike,
)
from jobs.planning.replays import Replays
from tests.planning.building import task

SURE = Statement(raw=0.99, planned=True, lead=60)
TASKS = [("a", 100), ("b", 100), ("c", 100), ("d", 140)]
A, B, C = PRIORS  # of the wide, the narrower and the narrowest band


def test_without_earlier_days_the_replays_stand():
    assert Experience().chance(SURE) == 0.99
    assert Experience().chance(SURE._replace(raw=0.0, planned=False)) == UNPLANNED


def test_a_band_says_what_came_true_in_it():
    taught = experience([(SURE, done) for done in [True] * 80 + [False] * 20])
    wide = (80 + A * 0.99) / (100 + A)
    narrower = (80 + B * wide) / (100 + B)
    assert taught.chance(SURE) == pytest.approx((80 + C * narrower) / (100 + C))


@pytest.mark.parametrize("other", [SURE._replace(raw=0.5), SURE._replace(planned=False)])
def test_the_widest_bands_do_not_teach_one_another(other):
    taught = experience([(SURE, False)] * 100)
    assert taught.chance(other) == Experience().chance(other)


def test_of_what_never_came_before_the_next_wider_band_is_said():
    taught = experience([(SURE, False)] * 95)
    assert taught.chance(SURE._replace(alike=0.5)) == pytest.approx(5 * 0.99 / 100)
    soon = SURE._replace(lead=20)
    assert taught.chance(soon) == pytest.approx((0 + B * 5 * 0.99 / 100) / (95 + B))


def test_what_is_easily_exchanged_for_its_like_is_learned_by_itself():
    """Of follow-ups that cost the same a plan has half, and a new plan often another half."""
    half = SURE._replace(alike=0.5)
    days = [(SURE, True)] * 300 + [(half, True)] * 200 + [(half, False)] * 100
    taught = experience(days)
    assert taught.chance(half) == pytest.approx(2 / 3, abs=0.05)
    assert taught.chance(SURE) == pytest.approx(1, abs=0.05)


def test_a_few_statements_change_little():
    assert 0.7 < experience([(SURE, False)]).chance(SURE) < 0.99


def test_the_share_planned_is_of_what_costs_as_much():
    tasks = [task(name, (480, 500), miss_cost=cost) for name, cost in TASKS]
    assert planned_of_alike(tasks, {"a", "b", "d"}) == {"a": 2 / 3, "b": 2 / 3, "c": 2 / 3, "d": 1}


def test_experience_is_read_back_as_it_was_kept():
    taught = experience([(SURE, True)] * 7 + [(SURE._replace(planned=False), False)] * 3)
    assert Experience.from_json(json.loads(json.dumps(taught.to_json()))) == taught
    assert Experience.from_json({}) == Experience()


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
