"""The effect of one person more or less, and of work moved to another time."""

import json

import pytest

from jobs.planning import (
    best_helper_hours,
    best_tasks_to_move,
    day_after_departure,
    day_to_json,
    day_with_helper,
    effect_of_change,
    plan,
    plan_to_json,
)
from jobs.planning.bench.random_days import random_day
from jobs.planning.cli import main

from .building import ANN, BEN, day, task


def test_one_more_helper_saves_named_tasks():
    tasks = [task(f"t{i}", window=(480, 485), miss_cost=10 + i) for i in range(3)]
    problem = day(*tasks, crew=[BEN])
    planned = plan(problem)
    found = effect_of_change(problem, day_with_helper(problem, (480, 500)), planned)
    assert (found.saved, found.lost, found.gain) == (("t1",), (), 11)
    there, best = best_helper_hours(problem, planned)
    assert there == (480, 540)
    assert best.saved == ("t1",)


def test_no_helper_is_advised_where_nothing_is_missed():
    problem = day(task("a", window=(480, 485)), crew=[BEN])
    assert best_helper_hours(problem, plan(problem)) is None


def test_somebody_leaving_loses_named_tasks():
    tasks = [task(f"t{i}", window=(480, 485)) for i in range(2)]
    problem = day(*tasks, crew=[ANN, BEN])
    found = effect_of_change(problem, day_after_departure(problem, "Ann", 470), plan(problem))
    assert len(found.lost) == 1
    assert found.gain == -10


def sag_in_the_way():
    """One helper; a sag that could be done at noon takes the time of three readings."""
    reads = [task(f"reads {i}", window=(480, 496), minutes=4, miss_cost=20) for i in (1, 2, 3)]
    sag = task("sag", window=(480, 496), minutes=8, miss_cost=60)
    return day(sag, *reads, crew=[BEN])


def test_work_that_could_wait_is_named_with_what_it_saves():
    problem = sag_in_the_way()
    made = plan(problem, iterations=50)
    assert len(made.missed) == 1
    found = best_tasks_to_move(problem, made, {"sag": [(700, 708)]})
    assert found.starts == (("sag", 700),)
    assert found.effect.saved == (made.missed[0].task,)
    assert found.effect.gain == 20


@pytest.mark.parametrize("elsewhere", [{}, {"sag": [(480, 496)]}])
def test_no_task_is_named_where_moving_saves_nothing(elsewhere):
    problem = sag_in_the_way()
    assert best_tasks_to_move(problem, plan(problem, iterations=50), elsewhere) is None


def test_the_effect_is_that_of_the_change_not_of_the_longer_search():
    problem = random_day(20, 3)
    poor = plan(problem, iterations=0)
    found = best_helper_hours(problem, poor, iterations=100)
    again = plan(problem, previous=poor, iterations=100)
    assert found is not None
    assert found[1].cost_before <= again.cost


def test_on_the_command_line(tmp_path, capsys):
    problem = sag_in_the_way()
    forms = {
        "problem": day_to_json(problem),
        "plan": plan_to_json(problem, plan(problem, iterations=50)),
        "elsewhere": {"sag": [[700, 708]]},
    }
    for name, form in forms.items():
        (tmp_path / f"{name}.json").write_text(json.dumps(form))
    files = {name: str(tmp_path / f"{name}.json") for name in forms}
    asked = ["relief", files["problem"], files["plan"], "--elsewhere", files["elsewhere"]]
    assert main(asked) == 0
    output = json.loads(capsys.readouterr().out)
    assert output["moved"]["tasks"] == [{"task": "sag", "start": 700}]
    assert output["helper"]["gain"] == 20
    (tmp_path / "elsewhere.json").write_text(json.dumps({"ghost": []}))
    assert main(asked) == 2
    assert capsys.readouterr().err == "error: task ghost: not in the problem\n"
