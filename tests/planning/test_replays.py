"""A plan worked off many times: what is done, and what it costs."""

from dataclasses import replace
from math import log
from statistics import NormalDist

import pytest

from jobs.planning import Assignment, plan
from jobs.planning.bench.random_days import random_day
from jobs.planning.bench.simulated_world import MUST_START, calm_world
from jobs.planning.bench.simulator import SimulatedDay
from jobs.planning.replays import replays
from tests.planning.bench.test_simulated_days import FixedPlan
from tests.planning.building import ANN, BEN, day, task

NUMBER = 1000


def done(problem, *slots, now=480, spread=0.4, **options):
    planned = [Assignment(name, start, people) for name, start, *people in slots]
    return replays(problem, planned, now=now, spread=spread, number=NUMBER, **options)


def test_without_scatter_a_plan_comes_as_planned():
    problem = random_day(12, 1)
    made = plan(problem, iterations=200)
    found = replays(
        problem,
        made.assignments,
        now=400,
        spread=0,
        need_only_begin={t.id for t in problem.tasks if t.kind in MUST_START},
    )
    assert set(found.costs) == {made.cost}
    assert {t for t in found.done if found.share([t])} == {a.task for a in made.assignments}


def test_one_task_is_done_as_often_as_its_minutes_are_short_enough():
    """Against the log-normal distribution: P(minutes <= 7) with mean 5 and this spread."""
    problem = day(task("a", (480, 485)), crew=[BEN])
    expected = NormalDist(log(5) - 0.4**2 / 2, 0.4).cdf(log(7))
    found = done(problem, ("a", 480, "Ben"))
    assert found.share(["a"]) == pytest.approx(expected, abs=0.03)
    assert done(problem, ("a", 480, "Ben"), need_only_begin={"a"}).share(["a"]) == 1


def test_a_chance_of_two_tasks_is_joint_and_no_product():
    problem = day(task("a", (480, 485)), task("b", (480, 600), requires=("a",)), crew=[BEN])
    found = done(problem, ("a", 480, "Ben"), ("b", 485, "Ben"))
    assert found.share(["a", "b"]) == found.share(["a"]) == found.share(["b"])
    assert 0.8 < found.share(["a"]) < 0.95


def test_minutes_are_drawn_by_task_so_another_task_changes_nothing():
    one = day(task("a", (480, 485)), crew=[ANN, BEN])
    two = day(task("b", (480, 490), bike=9), task("a", (480, 485)), crew=[ANN, BEN])
    alone = done(one, ("a", 480, "Ben"))
    assert done(two, ("b", 480, "Ann"), ("a", 480, "Ben")).done["a"] == alone.done["a"]


def test_a_later_roll_never_takes_a_chance_away():
    slots = ("a", 480, "Ben"), ("b", 485, "Ben")
    early = day(task("a", (480, 490)), task("b", (480, 490)), crew=[BEN])
    late = day(task("a", (480, 495)), task("b", (480, 495)), crew=[BEN])
    soon, later = done(early, *slots), done(late, *slots)
    assert soon.done["b"] & later.done["b"] == soon.done["b"] != later.done["b"]


def test_what_the_plan_leaves_out_is_missed_and_costs():
    problem = day(task("a", (480, 500), miss_cost=30), crew=[BEN])
    found = done(problem)
    assert (found.share(["a"]), set(found.costs)) == (0, {30})


def test_what_requires_missed_work_is_missed():
    problem = day(
        task("a", (480, 500)), task("b", (480, 600), requires=("a",), miss_cost=7), crew=[BEN]
    )
    assert done(problem, ("b", 490, "Ben")).share(["b"]) == 0


def test_work_in_hand_is_done_and_people_are_busy_until_then():
    problem = day(task("a", (480, 490)), task("b", (480, 491), bike=9), crew=[BEN])
    a = Assignment("a", 475, ("Ben",))
    found = done(problem, ("b", 482, "Ben"), locked=[a], spread=1e-9)
    assert (found.share(["a"]), found.share(["b"])) == (1, 1)
    problem = replace(problem, tasks=(problem.tasks[0], replace(problem.tasks[1], minutes=10)))
    later = done(problem, ("b", 482, "Ben"), locked=[replace(a, start=479)], spread=1e-9)
    assert later.share(["b"]) == 0


def test_lateness_costs_by_the_minute():
    problem = day(task("a", (480, 520), due=484, late_cost_per_min=3), crew=[BEN])
    assert done(problem, ("a", 480, "Ben"), spread=1e-9).mean_cost == pytest.approx(3, abs=0.001)


def test_replays_agree_with_the_simulator_on_a_day_without_replanning():
    """The simulator shares no code: the same minutes must do the same work."""
    problem = random_day(6, 2)
    made = plan(problem, iterations=200)
    slots = {a.task: (a.start, a.crew) for a in made.assignments}
    simulated = SimulatedDay(problem, calm_world(problem), FixedPlan(slots)).run()
    found = replays(
        problem,
        made.assignments,
        now=400,
        spread=0,
        number=1,
        need_only_begin={t.id for t in problem.tasks if t.kind in MUST_START},
    )
    assert found.mean_cost == simulated.cost()
