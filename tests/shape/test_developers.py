"""DEVELOPERS.md: short table cells, and every file it names exists."""

import re

import pytest

from .source import ROOT

MOST_CHARACTERS = 200
TEXT = (ROOT / "DEVELOPERS.md").read_text()
HOMES = ("jobs/", "paddock/", "tests/", "fixtures/", ".ci/")


def cells(text):
    rows = (line for line in text.splitlines() if line.startswith("|"))
    return [cell.strip() for row in rows for cell in row.strip("|").split("|")]


def named_files(text):
    """Paths in backquotes that begin with a folder of the repository."""
    words = re.findall(r"`([^`\s]+)`", text)
    return sorted({word for word in words if word.startswith(HOMES)})


def test_table_cells_are_under_200_characters():
    found = cells(TEXT)
    assert len(found) > 50
    assert [cell for cell in found if len(cell) >= MOST_CHARACTERS] == []


@pytest.mark.parametrize("path", named_files(TEXT))
def test_every_file_it_names_exists(path):
    known = (ROOT / path, ROOT / "paddock" / "static" / path)
    assert any(each.exists() for each in known), path


def test_every_room_is_in_the_map():
    rooms = {path.parent.name for path in (ROOT / "jobs").glob("*/__init__.py")}
    mapped = set(re.findall(r"^\| `jobs/(\w+)` \|", TEXT, re.MULTILINE))
    assert mapped == rooms


def test_a_missing_file_and_a_long_cell_would_be_found():
    text = f"| `jobs/nowhere.py` | {'x' * MOST_CHARACTERS} |"
    assert named_files(text) == ["jobs/nowhere.py"]
    assert [len(cell) for cell in cells(text)] == [len("`jobs/nowhere.py`"), MOST_CHARACTERS]
