"""The catalogues: complete, compiled as they stand, and with what they are filled in with."""

import re
import shutil
import subprocess
import sys

import pytest
from django.utils import translation

from jobs.garage.words import at_end, within
from jobs.people.reader_words import in_every_language, same_sentence
from jobs.tuning.knowledge import shipped
from jobs.tuning.words import Words
from paddock import catalogues

from ..shape.source import ROOT

HOLES = re.compile(r"%\(\w+\)(?:\.\d)?[sdf]|%[sd]|\{[^}]*\}")
FILES = catalogues.files()


def pairs(file):
    """Each sentence with its translation; both numbers of a plural."""
    for message in catalogues.read(file):
        if message.id:
            many = not isinstance(message.id, str)
            ids = message.id if many else [message.id]
            yield from zip(ids, message.string if many else [message.string], strict=True)


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_every_sentence_is_translated(file):
    assert [one for one, told in pairs(file) if one.strip() and not told] == []
    assert [message.id for message in catalogues.read(file) if message.id and message.fuzzy] == []


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_a_translation_is_filled_in_with_the_same_figures(file):
    """The singular may say its number in a word."""
    wrong = [
        one
        for one, told in pairs(file)
        if set(HOLES.findall(told)) - set(HOLES.findall(one))
        or ("%(n)" not in one and set(HOLES.findall(one)) - set(HOLES.findall(told)))
    ]
    assert wrong == []


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_what_django_reads_is_compiled_from_the_catalogue(file):
    """Else: manage.py messages --compile."""
    assert file.with_suffix(".mo").read_bytes() == catalogues.compiled(file)


@pytest.mark.gettext
def test_no_sentence_is_missing_from_the_catalogues(tmp_path):
    """Else: manage.py messages, then translate what is new. Run on a copy."""
    for name in ("jobs", "paddock", "fixtures", "manage.py"):
        copy = shutil.copytree if (ROOT / name).is_dir() else shutil.copy
        copy(ROOT / name, tmp_path / name)
    command = [sys.executable, "manage.py", "messages"]
    environment = {"DATA_DIR": str(tmp_path / "data"), "PATH": "/usr/bin:/bin"}
    subprocess.run(command, cwd=tmp_path, check=True, env=environment, capture_output=True)
    for file in FILES:
        fresh = (tmp_path / file.relative_to(ROOT)).read_text()
        assert fresh == file.read_text(), file.name


def test_a_shipped_finding_is_read_in_german_and_compared_in_english():
    finding = shipped().findings["B1"]
    with translation.override("de"):
        assert (str(finding.title), f"{finding.title}") == ("Kommt warm langsam zurück",) * 2
        assert finding.title == "Slow return when hot"
        assert finding.title.__html__() == "Kommt warm langsam zurück"
    assert str(finding.title) == "Slow return when hot"


def test_a_sentence_with_figures_is_filled_in_in_the_readers_language():
    words = Words("{end} push test, {oil}: {seen}", end=Words("Front"), oil="hot", seen="x")
    assert words == "Front push test, hot: x"
    with translation.override("de"):
        assert str(words) == "Drücktest Vorn, hot: x"


def test_an_adjuster_is_named_in_the_order_of_the_language():
    assert (at_end("front", "rebound"), within("Front rebound")) == (
        "Front rebound",
        "front rebound",
    )
    with translation.override("de"):
        assert at_end("vorn", "Zugstufe") == "Zugstufe vorn"
        assert within("Zugstufe vorn") == "Zugstufe vorn"


def test_a_sentence_with_figures_is_known_in_german_too():
    words = Words("{end} sag {mm:.0f} mm", end=Words("Front"), mm=31)
    assert in_every_language(words) == {"Front sag 31 mm", "Negativfederweg Vorn 31 mm"}


def test_a_sentence_kept_in_german_is_the_same_as_in_english():
    finding = shipped().findings["B1"]
    assert same_sentence(finding.next, "Kommt in etwa 1 s sauber zurück, schwingt nicht über.")
    assert same_sentence(finding.next, finding.next[:])
    assert not same_sentence(finding.next, "Something else")
