"""Lower bounds, on days small enough to try every plan, and on random days."""

import sys
from dataclasses import replace

import pytest

from jobs.planning import Bound, bound, plan
from jobs.planning.bench.random_days import random_day

from ..building import BEN, day, task
from ..test_plan import brute_force, small_day


@pytest.mark.parametrize("seed", range(8))
def test_the_bound_is_never_above_the_cheapest_plan(seed):
    problem = small_day(seed)
    found, best = bound(problem, mip=True), brute_force(problem)
    assert found.proven
    assert found.lp <= found.mip + 1e-6
    assert found.best == best


@pytest.mark.parametrize("seed", range(3))
def test_the_bound_is_never_above_a_plan(seed):
    problem = random_day(10, seed)
    assert bound(problem).lp <= plan(problem, iterations=500).cost + 1e-6


def test_two_tasks_that_need_the_same_minute():
    problem = day(
        task("a", window=(480, 485)), task("b", window=(480, 485), miss_cost=4), crew=[BEN]
    )
    assert bound(problem).best == 4


def test_the_bound_with_roles_counts_people_who_come_and_leave():
    """Two people are here in every minute, but only one of them from 485 to 495."""
    problem = day(
        *(task(name, bike=name, minutes=10, window=(485, 495), miss_cost=4) for name in "ab"),
        crew=[replace(BEN, id="early", off=((490, 600),)), replace(BEN, off=((400, 490),))],
    )
    assert (bound(problem).lp, bound(problem, mip=True).mip) == (4, 8)


def test_nothing_to_do():
    assert bound(day(crew=[BEN])).best == 0


def test_without_the_solver_planning_goes_on(monkeypatch):
    monkeypatch.setitem(sys.modules, "highspy", None)
    problem = random_day(4, 1)
    assert bound(problem) == Bound(
        why_not="the bound needs the package highspy, which is not installed"
    )
    assert plan(problem, iterations=50).assignments
