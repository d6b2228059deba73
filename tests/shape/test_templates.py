"""The shape of templates.

The strict content security policy holds because nothing inline is ever written. Lines are short
enough to be reviewed; ``djhtml`` keeps their indentation (``.ci/run``).
"""

import re

import pytest

from .source import ROOT, files

INLINE = {
    "a style attribute": r"<[a-z][^>]*\sstyle\s*=",
    "an event attribute": r"<[a-z][^>]*\son[a-z]+\s*=",
    "a style element": r"<style\b",
    "a script with a body": r"<script(?![^>]*\b(?:src|type=\"application/json\"))[^>]*>",
    "a javascript: address": r"javascript:",
    "a script from elsewhere": r"<script[^>]*src=[\"']?(?:https?:)?//",
}


@pytest.mark.parametrize("what", INLINE)
def test_no_template_holds(what: str):
    found = [
        str(path.relative_to(ROOT))
        for path in files(".html", ".svg", homes=("jobs", "paddock"))
        if re.search(INLINE[what], path.read_text(), re.IGNORECASE)
    ]
    assert found == []


def test_no_python_writes_a_style_attribute():
    found = [
        str(path.relative_to(ROOT))
        for path in files(".py", homes=("jobs", "paddock"))
        if re.search(r"""\sstyle=\\?["']""", path.read_text())
    ]
    assert found == []


LONGEST_LINE = 120
# One Django tag or one HTML tag alone on its line: Django does not let a tag span lines.
ONE_TAG = re.compile(r"\{%(?:(?!%\}).)*%\}|<[^<>]*>")


def too_long(text: str) -> list[int]:
    """The numbers of the lines over the limit, lines that are one single tag left out."""
    return [
        number
        for number, line in enumerate(text.splitlines(), start=1)
        if len(line) > LONGEST_LINE and not ONE_TAG.fullmatch(line.strip())
    ]


def test_no_template_line_is_too_long():
    found = [
        f"{path.relative_to(ROOT)}:{number}"
        for path in files(".html", ".txt", ".xml", homes=("jobs", "paddock"))
        if "templates" in path.parts
        for number in too_long(path.read_text())
    ]
    assert found == []


def test_a_long_line_is_found_unless_it_is_one_tag():
    one_tag = "{% blocktranslate with " + "name=value " * 12 + "%}"
    assert too_long(f"<p>\n  {one_tag}\n</p>") == []
    assert too_long(f"<p>\n  ({one_tag}\n</p>") == [2]
    assert too_long(f"<p>{'word ' * 25}</p>") == [1]
    assert too_long(f"{one_tag}{{% endblocktranslate %}}") == [1]
