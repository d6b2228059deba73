"""A letter begins and ends alike, and its HTML says the same words."""

import re

import pytest

from jobs.people.letters import Sender, letter_written, sender_of
from jobs.people.models import Business

HOLLIN = Sender("Hollin Lane", "+353 1 000", "van@hollin.example")


def written(body="here it is:\n\nhttps://hollin.example/my/open/abc/", sender=HOLLIN):
    return letter_written(subject="Your bikes", to_name="Maren Voss", body=body, sender=sender)


def test_it_greets_and_signs():
    lines = written().text.splitlines()
    assert lines[0] == "Hello Maren Voss,"
    assert lines[-5:] == ["Kind regards", "", "Hollin Lane", "+353 1 000", "van@hollin.example"]
    assert written().reply_to == "van@hollin.example"


def test_the_html_has_the_same_words_and_a_link_to_touch():
    letter = written()
    assert '<a href="https://hollin.example/my/open/abc/"' in letter.html
    body = letter.html.split("<body>")[1]
    plain = " ".join(re.sub(r"<[^>]+>", " ", body).split())
    assert plain == " ".join(letter.text.split())
    assert '<html lang="en">' in letter.html


def test_what_somebody_typed_is_no_markup():
    letter = written(body="<script>alert(1)</script> & more")
    assert "<script>" not in letter.html
    assert "&lt;script&gt;" in letter.html


@pytest.mark.parametrize("gap", ["\n\n\n\n", "\r\n\r\n", "\n\n"])
def test_gaps_of_a_template_are_one_empty_line(gap):
    assert "one\n\ntwo\n\nKind regards" in written(body=f"one{gap}two\n").text


def test_a_business_without_phone_and_mail_signs_with_its_name():
    sender = sender_of(Business(name="Hollin Lane"))
    assert sender.signature == "Hollin Lane"
    assert written(sender=sender).reply_to == ""
