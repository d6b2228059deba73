"""How many helpers a day needs, and from when to when."""

import io
import json

from jobs.planning import day_to_json, staffing
from jobs.planning.bench.random_days import random_day
from jobs.planning.cli import main

from .building import ANN, BEN, day, task


def test_as_many_helpers_as_save_something():
    tasks = [task(f"t{i}", window=(600, 605), miss_cost=10) for i in range(3)]
    found = staffing(day(*tasks, crew=[ANN]))
    assert [(each.helpers, len(each.missed)) for each in found.tried[:4]] == [
        (0, 2),
        (1, 1),
        (2, 0),
        (3, 0),
    ]
    assert found.shifts == ((600, 630), (600, 630))
    assert found.missed == ()


def test_the_helpers_of_the_day_itself_are_ignored():
    tasks = [task(f"t{i}", window=(600, 605), miss_cost=10) for i in range(2)]
    assert len(staffing(day(*tasks, crew=[ANN, BEN])).shifts) == 1


def test_work_for_two_people_is_missed_not_refused_without_helpers():
    found = staffing(day(task("sag", window=(600, 608), minutes=8, people=2), crew=[ANN]))
    assert (found.tried[0].missed, found.tried[1].missed) == (("sag",), ())


def test_hours_that_save_almost_nothing_are_not_advised():
    early = task("early", window=(480, 485), bike="x", miss_cost=1)
    rush = [task(f"t{i}", window=(720, 1020), minutes=200, miss_cost=500) for i in range(2)]
    both = task("check", window=(480, 485), bike="y", miss_cost=1)
    found = staffing(day(early, both, *rush, crew=[ANN]))
    assert len(found.shifts) == 1
    assert found.shifts[0][0] == 660
    assert set(found.missed) == {"early"}


def test_on_the_command_line(monkeypatch, capsys):
    form = json.dumps(day_to_json(random_day(4, 1)))
    monkeypatch.setattr("sys.stdin", io.StringIO(form))
    assert main(["staffing", "--most", "2"]) == 0
    output = json.loads(capsys.readouterr().out)
    assert [each["helpers"] for each in output["tried"]] == [0, 1, 2]
    assert len(output["tried"][0]["missed"]) >= len(output["tried"][2]["missed"])
