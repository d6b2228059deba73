"""The long improvement: better than search alone, still valid, the same every time."""

import sys

from jobs.planning import bound, plan, polish, validate
from jobs.planning.bands import BAND, band_improve
from jobs.planning.compiled import day_compile
from jobs.planning.days import random_day
from jobs.planning.dispatch import Rule, dispatch
from jobs.planning.polish import A_BAND, FIRST_SEARCH, GUIDED, RELAXATION, polishes
from jobs.planning.relaxation import relax
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


def test_bands_begin_where_the_plan_is_furthest_above_the_relaxation(monkeypatch):
    problem = day_compile(random_day(6, 4))
    table = dispatch(problem, Rule.EARLIEST_DEADLINE)
    polish.polish(table, Wishes(), ONE_PASS, 1, Clock())
    noon = sorted(table.start)[len(table.start) // 2]
    for task, at in enumerate(table.start):
        if noon <= at < noon + 10 and all(table.start[t] < 0 for t in problem.needed_by[task]):
            table.remove(task)
    tried: list[int] = []
    monkeypatch.setattr(polish, "band_improve", lambda *given: tried.append(given[2]))
    polish.bands(table, Wishes(), relax(problem), 10**6, 0, 1, Clock())
    assert noon - BAND < tried[0] < noon + 10
    assert sorted(tried) == list(range(0, problem.horizon, BAND // 2))  # each once: none gained


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
