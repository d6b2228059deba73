"""The best plan for the rest of a day: its bound, and that what has started stays."""

import json
import sys
import time

import pytest

from jobs.planning import (
    CrewMember,
    PlanningDay,
    PlanningTask,
    best_rest_of_day,
    bound,
    plan,
    replan,
    validate,
)
from jobs.planning.bench.random_days import DELAY, DELAY_AT, delayed, random_day
from jobs.planning.cli import main
from jobs.planning.compiled import day_compile
from jobs.planning.json_format import day_to_json, plan_to_json
from jobs.planning.previous_plan import started_assignments, tasks_moved
from jobs.planning.proof.relaxation import solve_relaxation
from jobs.planning.search import TimeLimit

LATE = 900  # minutes: little is left to do, so the solver comes to an end


@pytest.fixture(scope="module")
def replanned():
    """A small day after a delay, and the plan of the replan that is ready at once."""
    day = random_day(6, 3)
    made = plan(day, iterations=50)
    after = delayed(day, DELAY_AT, DELAY)
    return after, replan(after, made, previous_input=day, now=DELAY_AT, iterations=0)


def test_the_plan_is_proven_valid_and_costs_no_more(replanned):
    day, quick = replanned
    rest = best_rest_of_day(day, quick, now=DELAY_AT)
    locked = started_assignments(day, quick, DELAY_AT)
    assert validate(day, rest.plan, locked=locked, now=DELAY_AT) == []
    assert rest.plan.cost < quick.cost
    assert rest.bound <= rest.plan.cost
    assert rest.proven == (rest.gap == 0)
    low = bound(day, mip=True, now=DELAY_AT, locked=locked)
    assert low.proven
    assert low.best <= rest.plan.cost  # with less fixed


def test_the_proof_agrees_with_the_integer_bound():
    """A proven cost is no less than the bound with only the started tasks fixed."""
    day = random_day(4, 2)
    quick = plan(day, iterations=0)
    rest = best_rest_of_day(day, quick, now=LATE)
    assert rest.proven
    low = bound(day, mip=True, now=LATE, locked=started_assignments(day, quick, LATE))
    assert low.best <= rest.bound == rest.plan.cost


def test_next_tasks_stay_and_nothing_moves_without_gain(replanned):
    day, quick = replanned
    rest = best_rest_of_day(day, quick, now=DELAY_AT)
    for member in day.crew:
        mine = [a for a in quick.assignments if member.id in a.crew and a.start >= DELAY_AT]
        assert min(mine, key=lambda a: a.start) in rest.plan.assignments
    best = best_rest_of_day(day, rest.plan, now=DELAY_AT)
    if rest.proven:
        assert tasks_moved(day, best.plan, rest.plan) == ()


def test_without_a_solver_the_plan_has_no_proof(replanned, monkeypatch):
    monkeypatch.setitem(sys.modules, "highspy", None)
    monkeypatch.setattr("jobs.planning.proof.rest_of_day.solver_available", lambda: False)
    day, quick = replanned
    rest = best_rest_of_day(day, quick, now=DELAY_AT, iterations=600)
    assert (rest.bound, rest.gap, rest.proven) == (None, None, False)
    assert rest.plan.cost <= quick.cost
    assert rest.plan.iterations == 600


def test_the_command_line(replanned, tmp_path, monkeypatch, capsys):
    day, quick = replanned
    (tmp_path / "problem").write_text(json.dumps(day_to_json(day)))
    (tmp_path / "plan").write_text(json.dumps(plan_to_json(day, quick)))
    asked = ["rest", "--previous", str(tmp_path / "plan"), "--now", str(DELAY_AT)]
    with (tmp_path / "problem").open() as stdin:
        monkeypatch.setattr("sys.stdin", stdin)
        assert main(asked) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["bound"] <= found["plan"]["cost"] < quick.cost
    assert found["proven"] == (found["bound"] == found["plan"]["cost"])
    assert main(["rest"]) == 2
    assert "--previous is missing" in capsys.readouterr().err


def test_a_search_by_iterations_alone_uses_no_solver_and_is_the_same_again(replanned):
    day, quick = replanned
    asked = {"now": DELAY_AT, "iterations": 400, "use_solver": False}
    rest = best_rest_of_day(day, quick, **asked)
    assert (rest.bound, rest.proven, rest.plan.iterations) == (None, False, 400)
    assert rest.plan.cost <= quick.cost
    assert best_rest_of_day(day, quick, **asked).plan == rest.plan


def test_tuners_and_helpers_are_different_roles():
    """The tuner cannot do a helper's task when a tuner's task begins.

    Counted without roles: two people, never more than two at work. With roles: the helper is
    on A until 485, so the tuner has B from 482 to 488 and cannot begin C, the tuner's own
    work, at 485.
    """
    day = PlanningDay(
        crew=(
            CrewMember("T", frozenset({"tuner", "helper"})),
            CrewMember("H", frozenset({"helper"})),
        ),
        tasks=(
            PlanningTask(
                "A", bike=1, minutes=5, skill="helper", windows=((480, 485),), miss_cost=10
            ),
            PlanningTask(
                "B", bike=2, minutes=6, skill="helper", windows=((482, 488),), miss_cost=10
            ),
            PlanningTask("C", bike=3, minutes=4, skill="tuner", windows=((485, 489),), miss_cost=7),
        ),
    )
    assert bound(day).lp == 0
    rest = best_rest_of_day(day, plan(day, iterations=0), now=470)
    assert (rest.plan.cost, rest.bound, rest.proven) == (7, 7, True)


def test_a_task_over_a_change_of_people_needs_people_who_stay():
    """Two people are here in every minute, but only one of them from 485 to 495."""
    day = PlanningDay(
        crew=(
            CrewMember("Al", frozenset({"helper"}), ((490, 600),)),
            CrewMember("Bo", frozenset({"helper"})),
            CrewMember("Cy", frozenset({"helper"}), ((400, 490),)),
        ),
        tasks=tuple(
            PlanningTask(
                name, bike=name, minutes=10, skill="helper", windows=((485, 495),), miss_cost=10
            )
            for name in "AB"
        ),
    )
    assert bound(day).lp == 0
    rest = best_rest_of_day(day, plan(day, iterations=0), now=470)
    assert (rest.plan.cost, rest.bound, rest.proven) == (10, 10, True)


def test_a_day_with_nothing_left_to_do_is_proven():
    away = CrewMember("Al", frozenset({"helper"}), ((0, 1440),))
    task = PlanningTask("A", bike=1, minutes=5, skill="helper", windows=((480, 490),), miss_cost=10)
    day = PlanningDay(crew=(away,), tasks=(task,))
    rest = best_rest_of_day(day, plan(day), now=600)
    assert (rest.plan.cost, rest.bound, rest.proven) == (10, 10, True)


def test_a_limit_that_has_passed_leaves_no_time_and_the_solver_stops_at_once():
    """HiGHS refuses a time limit below zero and then has none: it searched for minutes on."""
    passed = TimeLimit(seconds=1, started=time.monotonic() - 5)
    assert (passed.remaining(), passed.is_over()) == (0, True)
    problem = day_compile(random_day(20, 3))
    assert solve_relaxation(problem, seconds=passed.remaining(), first_missed=0) is None
