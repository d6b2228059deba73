"""The table of the bench: every rule and budget, both bounds, replanning, capacity."""

import re

import pytest

from jobs.planning.cli import main


def test_one_small_day(capsys):
    asked = ["--sizes", "3", "--days", "1", "--seconds", "0.05", "--rule-days", "3"]
    asked += ["--first-days", "0"]
    assert main(["bench", *asked, "--mip-seconds", "100", "--rest-seconds", "5"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("cost of missing: arrival safety 200, ")
    assert "to the LP bound, to the MIP bound (proven on " in out
    for row in ("weighted slack", "earliest deadline", "first come", "400 iterations", "0.05 s"):
        assert re.search(rf"^  {row} +\d+\.\d\d", out, re.MULTILINE), row
    assert re.search(r"^  earliest deadline +1\.00", out, re.MULTILINE)
    for row in (
        "replan, ms",
        "tasks moved",
        "best of rest, gap",
        "best of rest, moved",
        "capacity, ms",
    ):
        assert re.search(rf"^  {row} +\D*\d", out, re.MULTILINE), row
    assert out.rstrip().endswith("worse than the best rule on 0")


def test_days_on_which_bikes_come_late(capsys):
    pytest.importorskip("ortools")
    asked = ["--sizes", "3", "--days", "1", "--seconds", "0.05", "--rule-days", "0"]
    assert main(["bench", *asked, "--first-days", "10"]) == 0
    out = capsys.readouterr().out
    assert re.search(
        r"^10 random days of 1 to 8 bikes: (\d+) first tasks missed, the exact minimum is \1; "
        r"more than the minimum on 0 days$",
        out,
        re.MULTILINE,
    )
    assert out.rstrip().endswith("more than that on 0 days")
