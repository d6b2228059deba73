"""The long search: better than the short one, valid, and the same every time."""

import sys

from jobs.planning import bound, plan, validate
from jobs.planning.bench.random_days import random_day
from jobs.planning.compiled import day_compile
from jobs.planning.dispatch import DispatchRule, dispatch
from jobs.planning.proof import long_search
from jobs.planning.proof.intervals import INTERVAL, improve_interval
from jobs.planning.proof.long_search import (
    FIRST_SEARCH,
    GUIDED_SEARCH,
    INTERVAL_PRICE,
    RELAXATION_PRICE,
    can_search_long,
)
from jobs.planning.proof.relaxation import solve_relaxation
from jobs.planning.search import Preferences, TimeLimit

LEAST = FIRST_SEARCH + RELAXATION_PRICE + GUIDED_SEARCH
ONE_PASS = LEAST + 16 * INTERVAL_PRICE


def test_the_plan_of_the_long_search_is_valid_and_near_the_bound():
    problem = random_day(6, 4)
    short, long = plan(problem, iterations=400), plan(problem, iterations=ONE_PASS)
    assert validate(problem, long) == []
    assert bound(problem).best <= long.cost <= short.cost


def test_an_interval_never_makes_a_plan_worse_and_keeps_what_is_fixed():
    problem = day_compile(random_day(12, 2))
    table = dispatch(problem, DispatchRule.FIRST_COME)
    fixed = frozenset(t for t in range(0, len(problem.tasks), 5) if table.start[t] >= 0)
    before = {t: (table.start[t], table.crew[t]) for t in fixed}
    costs = [table.cost]
    for first in range(120, 300, 45):
        improve_interval(table, Preferences(fixed=fixed), first, seed=1)
        costs.append(table.cost)
    assert costs == sorted(costs, reverse=True)
    assert costs[-1] < costs[0]
    assert {t: (table.start[t], table.crew[t]) for t in fixed} == before


def test_the_first_interval_is_where_the_plan_is_furthest_above_the_relaxation(monkeypatch):
    problem = day_compile(random_day(6, 4))
    table = dispatch(problem, DispatchRule.EARLIEST_DEADLINE)
    long_search.long_search(table, Preferences(), ONE_PASS, 1, TimeLimit())
    noon = sorted(table.start)[len(table.start) // 2]
    for task, at in enumerate(table.start):
        if noon <= at < noon + 10 and all(table.start[t] < 0 for t in problem.required_by[task]):
            table.remove(task)
    tried: list[int] = []
    monkeypatch.setattr(long_search, "improve_interval", lambda *given: tried.append(given[2]))
    long_search.improve_intervals(
        table, Preferences(), solve_relaxation(problem, first_missed=0), 10**6, 0, 1, TimeLimit()
    )
    assert noon - INTERVAL < tried[0] < noon + 10
    assert sorted(tried) == list(range(0, problem.horizon, INTERVAL // 2))  # each once: none gained


def test_the_plan_is_the_same_every_time():
    problem = random_day(5, 1)
    assert plan(problem, iterations=ONE_PASS) == plan(problem, iterations=ONE_PASS)


def test_without_the_solvers_the_search_goes_on(monkeypatch):
    monkeypatch.setitem(sys.modules, "highspy", None)
    monkeypatch.setattr("jobs.planning.proof.long_search.solver_available", lambda: False)
    assert not can_search_long(LEAST, TimeLimit())
    problem = random_day(4, 1)
    assert validate(problem, plan(problem, iterations=LEAST)) == []


def test_no_solver_is_started_with_too_little_time():
    assert not can_search_long(LEAST, TimeLimit(1.0))
    assert not can_search_long(LEAST - 1, TimeLimit())
