"""What a row lock is taken for: to write one at a time, never to change a key."""

import re

from .source import ROOT, files

LOCK = re.compile(r"select_for_update\((?P<how>[^\n]*)\)")


def test_row_locks_let_rows_that_point_at_them_be_written():
    """PostgreSQL checks our deferred foreign keys at the commit, and a full row lock held by
    somebody who waits for the day's revision makes that a deadlock (its manual, 13.3.2)."""
    found = [
        f"{path.relative_to(ROOT)}: {lock.group()}"
        for path in files(".py", homes=("jobs",))
        for lock in LOCK.finditer(path.read_text())
        if "no_key=True" not in lock["how"]
    ]
    assert found == []
