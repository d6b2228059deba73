"""Nothing half done is called done."""

import re

from .source import ROOT, files

UNFINISHED = re.compile(
    "|".join(("TO" + "DO", "FIX" + "ME", "NotImplemented" + "Error", "XX" + "X"))
)


def test_nothing_is_left_for_later():
    found = [
        f"{path.relative_to(ROOT)}:{number}"
        for path in files(".py", ".html", ".js", ".css")
        for number, line in enumerate(path.read_text().splitlines(), 1)
        if UNFINISHED.search(line)
    ]
    assert found == []
