"""The long improvement: better than search alone, still valid, the same every time."""

import sys

from jobs.planning import bound, plan, validate
from jobs.planning.bands import band_improve
from jobs.planning.compiled import day_compile
from jobs.planning.days import random_day
from jobs.planning.dispatch import Rule, dispatch
from jobs.planning.polish import A_BAND, FIRST_SEARCH, GUIDED, RELAXATION, polishes
from jobs.planning.search import Clock, Wishes

LEAST = FIRST_SEARCH + RELAXATION + GUIDED
ONE_PASS = LEAST + 16 * A_BAND


def test_a_polished_plan_is_valid_and_near_the_bound():
    problem = random_day(6, 4)
    short, long = plan(problem, iterations=400), plan(problem, iterations=ONE_PASS)
    assert validate(problem, long) == []
    assert bound(problem).best <= long.cost <= short.cost


def test_a_band_never_makes_a_plan_worse_and_keeps_what_is_held():
    problem = day_compile(random_day(12, 2))
    table = dispatch(problem, Rule.FIRST_COME)
    held = frozenset(t for t in range(0, len(problem.tasks), 5) if table.start[t] >= 0)
    before = {t: (table.start[t], table.crew[t]) for t in held}
    costs = [table.cost]
    for first in range(120, 300, 45):
        band_improve(table, Wishes(held=held), first, seed=1)
        costs.append(table.cost)
    assert costs == sorted(costs, reverse=True)
    assert costs[-1] < costs[0]
    assert {t: (table.start[t], table.crew[t]) for t in held} == before


def test_the_same_every_time():
    problem = random_day(5, 1)
    assert plan(problem, iterations=ONE_PASS) == plan(problem, iterations=ONE_PASS)


def test_without_the_solvers_the_search_goes_on(monkeypatch):
    monkeypatch.setitem(sys.modules, "highspy", None)
    monkeypatch.setattr("jobs.planning.polish.solver_available", lambda: False)
    assert not polishes(LEAST, Clock())
    problem = random_day(4, 1)
    assert validate(problem, plan(problem, iterations=LEAST)) == []


def test_with_too_little_on_the_clock_no_solver_is_started():
    assert not polishes(LEAST, Clock(1.0))
    assert not polishes(LEAST - 1, Clock())
