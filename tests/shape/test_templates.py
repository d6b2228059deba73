"""The strict content security policy holds because nothing inline is ever written."""

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
