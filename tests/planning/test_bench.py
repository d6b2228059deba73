"""The bench says what it measured: every rule and budget, both bounds, replanning, capacity."""

import re

from jobs.planning.cli import main


def test_one_small_day(capsys):
    asked = ["--sizes", "3", "--days", "1", "--seconds", "0.05", "--rule-days", "3"]
    assert main(["bench", *asked, "--mip-seconds", "10", "--rest-seconds", "5"]) == 0
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
