"""The manual's words: names of buttons as they are on the screens, cautions, nothing long."""

import re

import pytest

from jobs.manual.screens import MANUALS
from tests.shape.source import ROOT, files

PARAGRAPHS = [(job, one) for job, manual in MANUALS.items() for one in manual.paragraphs]
QUOTED = re.compile(r"“([^”]+)”")


def words_of(paragraph) -> str:
    return " ".join(str(words) for words in (*paragraph.steps, paragraph.mind))


def on_screens() -> set[str]:
    """Every whole text that a template or a script of the server shows."""
    found: set[str] = {"?"}
    for path in files(".html", ".py", homes=("jobs", "paddock")):
        if (ROOT / "jobs" / "manual") not in path.parents:
            text = path.read_text()
            found |= set(re.findall(r'(?:translate |_\()"([^"]+)"', text))
            found |= {
                " ".join(block.split())
                for block in re.findall(r"blocktranslate[^%]*%}([^{]+)\{%", text)
            }
    return found


def missing(texts: list[str], shown: set[str]) -> list[str]:
    return sorted({name for text in texts for name in QUOTED.findall(text)} - shown)


def test_what_the_manual_quotes_stands_on_a_screen_in_these_words():
    texts = [words_of(one) for _job, one in PARAGRAPHS]
    texts += [str(manual.begin) for manual in MANUALS.values()]
    shown = on_screens()
    assert missing(texts, shown) == []
    assert missing(["Tap “No such button”."], shown) == ["No such button"]


@pytest.mark.parametrize(
    ("job", "paragraph"), PARAGRAPHS, ids=lambda one: getattr(one, "name", one)
)
def test_a_paragraph_is_short(job, paragraph):
    """Two screens of a phone at most: about 1,400 characters of text."""
    assert 0 < len(words_of(paragraph)) <= 1400
    assert all(len(str(step)) <= 200 for step in paragraph.steps)


@pytest.mark.parametrize(
    ("name", "caution"),
    [
        ("arrival", "A stand can let the bike fall: level ground, and a second person"),
        ("arrival", "Exhaust, discs, tyres and warmers are hot"),
        ("hold-a-bike", "cords, a bulge, a split or lost air"),
        ("count", "Never force an adjuster's end"),
        ("read", "tyre maker's pressure range comes before"),
        ("change", "Torque, gas charge, and opening a fork or shock: the maker's manual"),
        ("change", "Springs, fork caps and compressors store energy"),
        ("advice", "Gas-charged shocks are never opened, heated or drilled"),
        ("board", "The organiser and the marshals come before anything on the screen"),
        ("my-bike", "After any change build pace over the first laps"),
    ],
)
def test_the_caution_stands_where_the_step_is(name, caution):
    (paragraph,) = [one for _job, one in PARAGRAPHS if one.name == name]
    assert caution in str(paragraph.mind)
