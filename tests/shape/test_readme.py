"""README.md is for people: short paragraphs, and a table of contents that is true."""

import re

import pytest

from .source import ROOT

LINES, CHARACTERS = 5, 100  # a paragraph is at most five lines of about a hundred characters
NOT_LISTED = ("Paddock", "Two commands", "Contents")


def readme() -> str:
    return (ROOT / "README.md").read_text()


def paragraphs(text: str) -> list[str]:
    """Paragraphs and items of lists; blocks of code and tables are none."""
    prose = re.sub(r"^```.*?^```$", "", text, flags=re.MULTILINE | re.DOTALL)
    prose = re.sub(r"^\|.*\n?", "", prose, flags=re.MULTILINE)
    return [block for block in re.split(r"\n\s*\n|\n(?=- |\d+\. |#)", prose) if block.strip()]


def anchor(heading: str) -> str:
    return re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-")


def long_ones(text: str) -> list[str]:
    return [one[:60] for one in paragraphs(text) if len(one) > LINES * CHARACTERS]


def test_no_paragraph_is_over_five_lines():
    assert long_ones(readme()) == []


@pytest.mark.parametrize("text", ["a " * 251, "# Title\n- short\n- " + "a " * 251])
def test_a_long_paragraph_is_seen(text):
    assert len(long_ones(text)) == 1


def test_the_table_of_contents_lists_every_heading_in_its_order():
    text = re.sub(r"^```.*?^```$", "", readme(), flags=re.MULTILINE | re.DOTALL)
    headings = re.findall(r"^#+ (.+)$", text, flags=re.MULTILINE)
    contents = text.split("## Contents\n")[1].split("\n## ")[0]
    listed = re.findall(r"\[([^\]]+)\]\(#([^)]+)\)", contents)
    assert listed == [(h, anchor(h)) for h in headings if h not in NOT_LISTED]


def test_the_way_to_the_first_invoice_has_ten_lines_at_most():
    way = readme().split("## From nothing to the first invoice\n")[1].split("\n#")[0]
    assert 0 < len(way.strip().splitlines()) <= 10
