"""How often bands and verdicts hold on simulated riders: a short run, always the same one.

The long run: `python -m jobs.tuning outlook`.
"""

import ast
from pathlib import Path

from jobs.tuning.outlook import Visible
from jobs.tuning.outlook.bench import riders
from jobs.tuning.outlook.bench.seasons import report, run
from jobs.tuning.terms import Verdict


def test_the_riders_share_no_code_with_the_outlook():
    tree = ast.parse(Path(riders.__file__).read_text())
    modules = {
        name
        for node in ast.walk(tree)
        if isinstance(node, ast.Import | ast.ImportFrom)
        for name in ([node.module] if isinstance(node, ast.ImportFrom) else
                     [one.name for one in node.names])
    }  # fmt: skip
    assert modules == {"math", "random", "collections.abc", "dataclasses"}


def test_a_dozen_riders():
    found = run(bikes=12, seed=5)
    assert (found.front.of, found.shaft.of) == (84, 84)
    assert {earlier: count.of for earlier, count in found.after.items()} == FORECASTS
    assert (found.front.hits, found.shaft.hits) == (77, 78)
    assert {earlier: count.hits for earlier, count in found.after.items()} == HELD
    assert found.in_the_stop == 24
    # Of the changes that one outing shows, those done and those forgotten.
    assert dict(found.judged) == {Verdict.SEEN: 29, "cannot be told": 3}
    assert dict(found.judged_undone) == {
        Verdict.NOT_SEEN: 28, Verdict.SEEN: 1, "cannot be told": 3,
    }  # fmt: skip
    assert found.changes["front preload +1 mm"] == {Visible.TOO_SMALL: 10}
    assert found.changes["shock preload +4 mm"] == {Visible.IN_ONE: 12}
    assert "next ring, fork leg                   91.7% (se 3.0%) of 84" in report(found)


FORECASTS = {2: 102, 3: 96, 8: 102}
HELD = {2: 89, 3: 83, 8: 86}
