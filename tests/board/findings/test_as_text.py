"""Own findings as text: passed on whole, taken in whole or not at all."""

import pytest
from django.urls import reverse

from jobs.advice.models import OwnFinding
from jobs.advice.selectors import catalogue
from jobs.tuning.knowledge import shipped

pytestmark = pytest.mark.django_db
TWO = """
[V2]
title = "Little travel, our way"
ends = ["front"]
see = "The ring."

[OWN1]
title = "Shivers"
ends = ["front", "rear"]
see = "typed with gloves"
"""


def test_everything_of_our_own_goes_out_and_comes_back(browser):
    url = reverse("board:findings-text")
    assert "paste one here" in browser.get(url).content.decode()
    browser.post(url, {"text": TWO})
    ours = catalogue()
    assert ours.findings["V2"].title == "Little travel, our way"
    assert ours.findings["OWN1"].family == "rider"
    assert ours.findings["V2"].family == "travel"
    out = browser.get(url, {"download": ""})
    assert out["Content-Disposition"] == 'attachment; filename="findings.toml"'
    OwnFinding.objects.all().delete()
    browser.post(url, {"text": out.content.decode()})
    assert catalogue() == ours


def test_one_wrong_finding_refuses_the_whole_text_by_name_and_keeps_it(browser):
    url = reverse("board:findings-text")
    text = TWO.replace('["front", "rear"]', '["middle"]')
    html = browser.post(url, {"text": text}).content.decode()
    assert "Finding OWN1: “middle” is no end" in html
    assert "typed with gloves" in html
    assert not OwnFinding.objects.exists()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "There is no finding in it"),
        ("[V2", "This cannot be read"),
        ("V2 = " + "[" * 5000, "This is nested too deep"),
        ("V2 = 5", "this is no table"),
        ("[a_code_that_is_too_long]", "is no code of a finding"),
        ('["ö"]', "is no code of a finding"),
        ("[clean]", "something good already"),
    ],
)
def test_what_is_no_finding_is_named(browser, text, words):
    html = browser.post(reverse("board:findings-text"), {"text": text}).content.decode()
    assert words in html


def test_a_shipped_finding_is_there_as_text_to_pass_on(browser):
    html = browser.get(reverse("board:finding-text", args=["B1"])).content.decode()
    assert "[B1]" in html
    assert shipped().findings["B1"].see in html


def test_what_can_no_longer_be_read_is_said_and_stops_nothing(browser, cast):
    OwnFinding.objects.create(code="V2", text='[V2]\ntitle = ""\n', by=cast.tuner)
    OwnFinding.objects.create(code="OWN1", text="[OWN1", by=cast.tuner)
    assert catalogue().findings["V2"] == shipped().findings["V2"]
    html = browser.get(reverse("board:findings")).content.decode()
    assert "Ours can no longer be read" in html
    assert "It can no longer be read and is used nowhere" in html
    answer = browser.get(reverse("board:finding-own", args=["OWN1"]))
    assert answer.url == reverse("board:finding-text", args=["OWN1"])
