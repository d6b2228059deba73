"""Every page in German: it answers, and shows no sentence of ours in English."""

import html
import re

import pytest
from django.test import Client

from paddock import catalogues
from tests.pages import Worked, pages_of

pytestmark = [pytest.mark.django_db, pytest.mark.slow]

SURFACES = ("board", "workbench", "tablet", "portal", "desk", "money", "account", "")
# Pages that show, on purpose, what is kept in English: the open form of a finding.
OPEN_FORMS = {"board:findings-text", "board:finding-as-text"}
# A document is in the language it was issued in.
IN_THEIR_OWN_LANGUAGE = {"document"}
WHAT_A_READER_SEES = ("aria-label", "title", "placeholder", "alt", "data-on", "data-off")
LEAST_WORDS = 3
# Of a letter that is kept as it was sent, in its customer's language.
OF_LETTERS = {"If something about it is not right, answer this mail or call us."}


def english() -> set[str]:
    """Our sentences, as a page would show them untranslated: those of three words and more."""
    found = set()
    for file in catalogues.files():
        for message in catalogues.read(file):
            if not message.id:
                continue
            one = message.id if isinstance(message.id, str) else message.id[0]
            german = message.string if isinstance(message.string, str) else message.string[0]
            if one != german and len(one.split()) >= LEAST_WORDS:
                found.add(" ".join(one.split()))
    return found


def read(page: str) -> set[str]:
    """The pieces of text that a reader, or who listens, is given."""
    page = re.sub(r"(?s)<(script|style|template)\b.*?</\1>|<!--.*?-->", " ", page)
    words = re.findall(rf'(?:{"|".join(WHAT_A_READER_SEES)})="([^"]*)"', page)
    words += re.split(r"<[^>]*>", page)
    return {" ".join(html.unescape(one).split()) for one in words} - {""}


def test_no_page_in_german_shows_an_english_sentence(played):
    played("evening")
    ours, users = english(), Worked().users
    found: dict[str, list[str]] = {}
    for page in pages_of(*SURFACES):
        client = Client(headers={"Accept-Language": "de"})
        if page.role:
            client.force_login(users[page.role])
        shown = client.get(page.path).content.decode()
        if page.name in IN_THEIR_OWN_LANGUAGE:
            continue
        assert re.search(r'<html\s+lang="de"', shown), page.name
        left = sorted((read(shown) & ours) - OF_LETTERS)
        if left and page.name not in OPEN_FORMS:
            found[page.name] = left
    assert found == {}
