"""The long answer for the rest of a day: proven, or how near; what has begun stays."""

import json
import sys

import pytest

from jobs.planning import CrewMember, Day, Task, best_of_rest, bound, plan, replan, validate
from jobs.planning.bench import DELAY, DELAY_AT, delayed
from jobs.planning.cli import main
from jobs.planning.days import random_day
from jobs.planning.forms import day_to_json, plan_to_json
from jobs.planning.reference import begun, tasks_moved

LATE = 900  # minutes: little is left to do, so the solver comes to an end


@pytest.fixture(scope="module")
def replanned():
    """A small day delayed, and the plan that answered at once."""
    day = random_day(6, 3)
    made = plan(day, iterations=50)
    after = delayed(day, DELAY_AT, DELAY)
    return after, replan(after, made, before=day, now=DELAY_AT, iterations=0)


def test_it_is_proven_valid_and_no_worse(replanned):
    day, quick = replanned
    rest = best_of_rest(day, quick, now=DELAY_AT)
    locked = begun(day, quick, DELAY_AT)
    assert validate(day, rest.plan, locked=locked, now=DELAY_AT) == []
    assert rest.plan.cost < quick.cost
    assert rest.bound <= rest.plan.cost
    assert rest.proven == (rest.gap == 0)
    low = bound(day, mip=True, now=DELAY_AT, locked=locked)
    assert low.proven
    assert low.best <= rest.plan.cost  # with less held


def test_a_proof_agrees_with_the_integer_bound_of_its_own():
    """What is proven the least is no less than with nothing held but what has begun."""
    day = random_day(4, 2)
    quick = plan(day, iterations=0)
    rest = best_of_rest(day, quick, now=LATE)
    assert rest.proven
    low = bound(day, mip=True, now=LATE, locked=begun(day, quick, LATE))
    assert low.best <= rest.bound == rest.plan.cost


def test_each_next_task_stays_and_what_gains_nothing_does_not_move(replanned):
    day, quick = replanned
    rest = best_of_rest(day, quick, now=DELAY_AT)
    for member in day.crew:
        mine = [a for a in quick.assignments if member.id in a.crew and a.start >= DELAY_AT]
        assert min(mine, key=lambda a: a.start) in rest.plan.assignments
    best = best_of_rest(day, rest.plan, now=DELAY_AT)
    if rest.proven:
        assert tasks_moved(day, best.plan, rest.plan) == ()


def test_without_a_solver_the_best_found_comes_without_a_proof(replanned, monkeypatch):
    monkeypatch.setitem(sys.modules, "highspy", None)
    monkeypatch.setattr("jobs.planning.rest.solver_available", lambda: False)
    day, quick = replanned
    rest = best_of_rest(day, quick, now=DELAY_AT, iterations=600)
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


def test_tuners_are_told_from_helpers():
    """A helper's task cannot go on with the tuner when a tuner's begins; counting heads it could.

    Heads: two people, never more than two at work. Roles: the helper is on A until 485, so
    the tuner has B from 482 to 488 and cannot begin C, the tuner's own work, at 485.
    """
    day = Day(
        crew=(
            CrewMember("T", frozenset({"tuner", "helper"})),
            CrewMember("H", frozenset({"helper"})),
        ),
        tasks=(
            Task("A", bike=1, minutes=5, skill="helper", windows=((480, 485),), miss_cost=10),
            Task("B", bike=2, minutes=6, skill="helper", windows=((482, 488),), miss_cost=10),
            Task("C", bike=3, minutes=4, skill="tuner", windows=((485, 489),), miss_cost=7),
        ),
    )
    assert bound(day).lp == 0
    rest = best_of_rest(day, plan(day, iterations=0), now=470)
    assert (rest.plan.cost, rest.bound, rest.proven) == (7, 7, True)


def test_where_people_change_over_what_lasts_is_for_those_who_stay():
    """Two are there in every minute, but only one of them from 485 to 495."""
    day = Day(
        crew=(
            CrewMember("Al", frozenset({"helper"}), ((490, 600),)),
            CrewMember("Bo", frozenset({"helper"})),
            CrewMember("Cy", frozenset({"helper"}), ((400, 490),)),
        ),
        tasks=tuple(
            Task(name, bike=name, minutes=10, skill="helper", windows=((485, 495),), miss_cost=10)
            for name in "AB"
        ),
    )
    assert bound(day).lp == 0
    rest = best_of_rest(day, plan(day, iterations=0), now=470)
    assert (rest.plan.cost, rest.bound, rest.proven) == (10, 10, True)


def test_where_nothing_can_be_done_any_more_that_is_proven():
    away = CrewMember("Al", frozenset({"helper"}), ((0, 1440),))
    task = Task("A", bike=1, minutes=5, skill="helper", windows=((480, 490),), miss_cost=10)
    day = Day(crew=(away,), tasks=(task,))
    rest = best_of_rest(day, plan(day), now=600)
    assert (rest.plan.cost, rest.bound, rest.proven) == (10, 10, True)
