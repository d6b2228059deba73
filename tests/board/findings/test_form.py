"""A finding in a plain form: nothing lost, nothing wrong saved, the shipped one to go back to."""

import tomllib

import pytest
from django.urls import reverse

from jobs.advice import services
from jobs.advice.models import OwnFinding
from jobs.advice.selectors import catalogue, findings_read
from jobs.board.findings import words
from jobs.people.models import Edit
from jobs.tuning.knowledge import (
    FACT_KINDS,
    CauseKind,
    ChangeDirection,
    Quantity,
    StopAction,
    shipped,
)
from jobs.tuning.terms import End

from ...queries import page_queries
from ...tuning.knowledge.test_catalogue import WHOLE
from .filled import filled

pytestmark = pytest.mark.django_db
NEW = "board:finding-new"


def own(code):
    return reverse("board:finding-own", args=[code])


def press(browser, page, do, /, **entered):
    """Press one button of the page as it stands, after entering something."""
    data = filled(page.content) | dict(entered.items()) | {"do": [do]}
    return browser.post(page.request["PATH_INFO"], data)


def said(page):
    return page.content.decode()


def kept(code):
    (finding,) = findings_read(OwnFinding.objects.get(code=code).text)
    return finding


def test_every_shipped_finding_opened_and_saved_unchanged_is_equal(browser):
    for code, finding in shipped().findings.items():
        answer = press(browser, browser.get(own(code)), "save")
        assert answer.status_code == 302, said(answer)
        ours = kept(code)
        assert ours.own
        fields = set(vars(finding)) - {"own"}
        assert {f: getattr(ours, f) for f in fields} == {f: getattr(finding, f) for f in fields}
    assert OwnFinding.objects.count() == len(shipped().findings)


def test_a_finding_that_says_everything_comes_through_the_form_whole(browser, cast):
    (row,) = [services.own_finding_save(code="OWN1", table=WHOLE, by=cast.tuner)]
    before = tomllib.loads(row.text)
    page = browser.get(own("OWN1"))
    OwnFinding.objects.filter(code="OWN1").update(text="")  # what is kept is what was posted
    assert press(browser, page, "save").status_code == 302
    text = OwnFinding.objects.get(code="OWN1").text
    assert {**tomllib.loads(text)["OWN1"]} == {**before["OWN1"]}


def test_every_button_brings_back_everything_typed(browser):
    page = browser.get(own("T4"))
    table = filled(page.content)
    page = press(browser, page, "add:stops", title=["Typed with gloves"])
    again = filled(page.content)
    table["title"] = ["Typed with gloves"]
    assert {name: again[name] for name in table} == table
    assert not OwnFinding.objects.exists()


def test_a_suspect_is_added_moved_and_removed_and_its_steps_go_with_it(browser):
    page = press(browser, browser.get(own("T4")), "up:suspects-3")
    posted = filled(page.content)
    assert posted["suspects-2-text"] == ["Spring rate or sag wrong"]
    assert [posted[f"steps-{n}-suspect"] for n in (1, 2, 3, 4)] == [["2"], ["2"], ["1"], ["1"]]
    page = press(browser, page, "add:suspects")
    assert filled(page.content)["suspects-6-text"] == [""]
    assert "New suspect" in said(page)
    page = press(browser, page, "drop:suspects-1")
    posted = filled(page.content)
    assert [posted[f"steps-{n}-suspect"] for n in (1, 2, 3, 4)] == [["1"], ["1"], [""], [""]]
    refused = press(browser, page, "save")
    assert "Step 3, For which suspect: This is missing." in said(refused)


def test_the_order_of_steps_and_stops_is_ours_to_choose(browser):
    page = press(browser, browser.get(own("T4")), "down:steps-1")
    page = press(browser, page, "up:stops-2")
    press(browser, page, "save")
    theirs = shipped().findings["T4"]
    assert kept("T4").steps == (theirs.steps[1], theirs.steps[0], *theirs.steps[2:])
    assert kept("T4").stops == theirs.stops[::-1]


def test_what_must_be_ruled_out_first_follows_its_suspect(browser):
    page = press(browser, browser.get(own("V1")), "down:suspects-1")
    press(browser, page, "save")
    assert [step.after for step in kept("V1").steps] == [(2,), (2,), (2,)]
    assert [step.suspect for step in kept("V1").steps] == [1, 3, 5]


def test_a_new_finding_is_built_without_a_word_of_toml(browser):
    page = press(
        browser, browser.get(reverse(NEW)), "add:suspects",
        title=["Shivers at speed"], ends=["front"], see=["A light shiver in the bars."],
        phases=["straight"],
    )  # fmt: skip
    page = press(
        browser, page, "or:suspects-1-when", **{
            "suspects-1-text": ["Rebound too quick"], "suspects-1-kinds": ["damping"],
            "suspects-1-when-new": ["push"],
        },
    )  # fmt: skip
    page = press(
        browser, page, "and:suspects-1-when", **{
            "suspects-1-when-1-1-is": ["fast", "bouncing"], "suspects-1-when-new": ["oil"],
        },
    )  # fmt: skip
    page = press(browser, page, "add:steps-1", **{"suspects-1-when-1-2-is": ["hot"]})
    page = press(browser, page, "or:steps-1-when", **{"steps-1-when-new": ["push"]})
    answer = press(
        browser, page, "save", **{
            "steps-1-function": ["rebound"], "steps-1-direction": ["firmer"],
            "steps-1-low": ["1"], "steps-1-high": ["2"], "steps-1-unit": ["click"],
            "steps-1-when-1-1-is": ["fast", "bouncing"], "steps-1-expect": ["push_swings -"],
        },
    )  # fmt: skip
    assert answer.status_code == 302, said(answer)
    found = kept("OWN1")
    assert (found.title, found.family, found.ends) == ("Shivers at speed", "rider", (End.FRONT,))
    assert found.suspects[0].when[0].text == "push fast or bouncing and oil hot"
    assert found.steps[0].when.text == "push fast or bouncing"
    assert found.sources == ()
    assert found.source_note == ""
    assert Edit.objects.get(what="own finding").title == "OWN1 Shivers at speed"


def test_each_condition_and_each_part_of_one_can_be_taken_away(browser):
    page = press(browser, browser.get(own("R3")), "drop:suspects-3-when-1-1")
    page = press(browser, page, "drop:suspects-3-when-2-1")
    page = press(browser, page, "drop:steps-1-when-1-1")
    press(browser, page, "save")
    assert [c.text for c in kept("R3").suspects[2].when] == ["rear sag right"]
    assert kept("R3").steps[0].when is None


@pytest.mark.parametrize(
    ("entered", "words"),
    [
        ({"title": [" "]}, "What it is called: This is missing."),
        ({"ends": [""]}, "Which end: This is missing."),
        ({"suspects-2-text": [""]}, "Suspect 2, What it could be: This is missing."),
        ({"suspects-2-kinds": []}, "Suspect 2, Kind: This is missing."),
        ({"steps-1-low": ["a few"]}, "Step 1, From: “a few” is no number."),
        ({"steps-1-low": ["5"], "steps-1-high": ["2"]}, "a size runs from a smaller"),
        ({"steps-1-direction": ["more"]}, "Step 1, Which way: rebound does not go more."),
        ({"steps-1-unit": ["psi"]}, "a tyre pressure goes by psi"),
        ({"steps-1-when-1-1-is": ["normal"]}, "Step 1, Only when: a rebound step rests on"),
        ({"steps-1-when-1-1-is": []}, "say the fact, then its states"),
        ({"stops-1-action": [""]}, "Stop 1, What then: This is missing."),
        ({"ends": ["both"], "family": ["rider"]}, "a step of a finding on the whole bike"),
    ],
)
def test_what_is_refused_is_named_at_its_field_and_nothing_typed_is_lost(browser, entered, words):
    page = browser.get(own("B1"))
    typed = filled(page.content) | {"see": ["typed with gloves"]} | entered
    answer = press(browser, page, "save", see=["typed with gloves"], **entered)
    assert answer.status_code == 200
    assert words in said(answer)
    again = filled(answer.content)
    assert {name: again.get(name, []) for name in typed} == typed | {
        name: [value.strip() for value in typed[name]] for name in ("title", "steps-1-low")
    }
    assert not OwnFinding.objects.exists()


def test_everything_wrong_is_told_at_once(browser):
    page = press(browser, browser.get(reverse(NEW)), "add:suspects")
    page = press(browser, page, "add:steps")
    html = said(press(browser, page, "save"))
    for label in ("What it is called", "Which end", "What is seen, felt or said"):
        assert f"{label}: This is missing." in html
    assert 'href="#at-suspects-1-text"' in html
    assert 'id="at-suspects-1-text"' in html
    assert "Step 1, Adjuster: This is missing." in html


def test_an_amended_one_is_marked_says_what_differs_and_goes_back_by_one_button(browser):
    listing = reverse("board:findings")
    assert "amended by us" not in said(browser.get(listing))
    assert "No finding of our own yet" in said(browser.get(listing))
    press(browser, browser.get(own("V2")), "save", title=["Little travel, our way"])
    html = said(browser.get(listing))
    assert "Little travel, our way" in html
    assert "amended by us" in html
    assert "Amended: What it is called" in html
    assert catalogue().findings["V2"].title == "Little travel, our way"
    browser.post(reverse("board:finding-drop", args=["V2"]))
    html = said(browser.get(listing))
    assert shipped().findings["V2"].title in html
    assert "amended by us" not in html
    assert catalogue().findings["V2"] == shipped().findings["V2"]
    gone = Edit.objects.filter(what="own finding").first()
    assert (gone.verb, gone.ref) == ("removed", "V2")
    assert "Little travel, our way" in gone.changes["text"][0]


def test_two_at_one_finding_do_not_overwrite_each_other_unasked(browser):
    page = browser.get(own("V2"))
    press(browser, page, "save", title=["Theirs"])
    answer = press(browser, page, "save", title=["Ours, typed meanwhile"])
    assert "changed by somebody else" in said(answer)
    assert "Ours, typed meanwhile" in said(answer)
    assert kept("V2").title == "Theirs"
    assert press(browser, answer, "save").status_code == 302
    assert kept("V2").title == "Ours, typed meanwhile"


def test_two_new_ones_written_at_once_both_stay(browser):
    page = browser.get(reverse(NEW))
    for title in ("First", "Second"):
        press(browser, page, "save", title=[title], ends=["rear"], see=["seen"])
    assert [kept(code).title for code in ("OWN1", "OWN2")] == ["First", "Second"]


def test_a_code_taken_this_very_moment_is_overwritten_by_nobody(browser, cast, monkeypatch):
    free = iter(("OWN1", "OWN1", "OWN2"))
    monkeypatch.setattr("jobs.advice.selectors.code_free", lambda: next(free))
    for title in ("First", "Second"):
        table = {"title": title, "ends": ["rear"], "see": "seen"}
        services.own_finding_save(code="", table=table, by=cast.tuner)
    assert [kept(code).title for code in ("OWN1", "OWN2")] == ["First", "Second"]


def test_a_finding_removed_while_it_is_open_can_still_be_saved(browser):
    press(browser, browser.get(reverse(NEW)), "save", title=["a"], ends=["rear"], see=["b"])
    page = browser.get(own("OWN1"))
    browser.post(reverse("board:finding-drop", args=["OWN1"]))
    answer = press(browser, page, "save", see=["typed with gloves"])
    assert press(browser, answer, "save").status_code == 302
    assert kept("OWN1").see == "typed with gloves"
    assert browser.get(own("NONE")).url == reverse("board:findings")


def test_a_press_that_no_page_offers_changes_nothing(browser):
    page = browser.get(own("B1"))
    before = filled(page.content)
    for do in ("up:suspects-1", "down:suspects-99", "drop:stops-0", "or:suspects-1-text", "x", ""):
        assert filled(press(browser, page, do).content) == before


def test_the_list_asks_the_database_the_same_with_any_number_of_own_ones(browser, cast):
    listing = reverse("board:findings")
    browser.get(listing)
    none = page_queries(browser, listing)
    for code in ("V2", "B1", "OWN1", "OWN2"):
        table = {"title": "x", "ends": ["rear"], "see": "y"}
        services.own_finding_save(code=code, table=table, by=cast.tuner)
    assert page_queries(browser, listing) == none == 4


def test_every_word_of_the_catalogue_has_words_in_the_form():
    assert set(words.KINDS) == set(CauseKind)
    assert set(words.DIRECTIONS) == set(ChangeDirection)
    assert set(words.QUANTITIES) == set(Quantity)
    assert set(words.ACTIONS) == set(StopAction)
    assert list(words.FACTS) == list(FACT_KINDS)
    assert {fact: tuple(states) for fact, states in words.STATES.items()} == {
        fact: meaning.states for fact, meaning in FACT_KINDS.items() if meaning.states
    }
