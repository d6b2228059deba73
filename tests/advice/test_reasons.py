"""Why a change was made: from the same end's open finding or suggestion, or from nothing."""

import re

import pytest
from django.urls import reverse

from jobs.acts.enums import Outcome
from jobs.advice.selectors import reasons_of
from jobs.billing.selectors.story import story_of
from jobs.garage.enums import Function
from jobs.garage.models import Adjuster
from jobs.setups.models import Adjustment
from jobs.setups.selectors import stories_of_entry
from jobs.trackday.models import Entry

from .story import Story

pytestmark = pytest.mark.django_db

RUNS_WIDE = "runs wide when I open the gas"


@pytest.fixture
def story(cast):
    story = Story(cast)
    story.came_in(1)
    return story


@pytest.fixture
def rebound(story):
    return Adjuster.objects.get(bike=story.entry.bike_id, end="front", function=Function.REBOUND)


def entry_of(story):
    return Entry.objects.select_related("trackday__venue", "bike", "group", "rider", "package").get(
        pk=story.entry.pk
    )


def said(story, words, end="", **more):
    return story.act("finding", words=words, end=end, by_rider=True, **more)


def change(story, adjuster, **more):
    move = {"adjuster": adjuster.pk, "from_position": "10", "to_position": "11"}
    return story.act("change", moves=[move], **more)


def panel(browser, story, adjuster):
    return browser.get(reverse("board:sheet-change", args=[story.entry.pk, adjuster.pk]))


def tapped(page):
    """The reason that stands tapped in a panel."""
    return re.findall(r'name="why"\s+value="([^"]*)"\s+checked', page.content.decode())


def send(browser, story, adjuster, **fields):
    url = reverse("board:sheet-change", args=[story.entry.pk, adjuster.pk])
    browser.post(url, {f"from_{adjuster.pk}": "10", "by": "1", "how": "read_back", **fields})
    return Adjustment.objects.get(kind="change")


def test_a_change_without_a_reason_has_none_on_the_page_and_on_the_invoice(story, rebound):
    """The rider said something else of no end, and of this end, before: it is not repeated."""
    said(story, RUNS_WIDE)
    said(story, "squeals", "front")
    change(story, rebound)
    (told,) = stories_of_entry(entry_of(story))
    assert told.reason == ""
    (part,) = story_of([entry_of(story)])
    assert all(RUNS_WIDE not in line and "squeals" not in line for line in part["done"])


def test_words_of_no_end_are_offered_and_not_tapped(story, rebound):
    row = said(story, RUNS_WIDE)
    (reason,) = reasons_of(entry_of(story), rebound)
    assert (reason.text, reason.finding, reason.certain) == (RUNS_WIDE, str(row.pk), False)


def test_words_of_the_other_end_are_not_offered(story, rebound):
    said(story, RUNS_WIDE, "rear")
    assert reasons_of(entry_of(story), rebound) == []


def test_the_only_open_finding_of_the_end_is_tapped(story, rebound, cast, signed_in):
    row = said(story, "pumps in the sweeper", "front")
    browser = signed_in(cast.tuner)
    assert tapped(panel(browser, story, rebound)) == [f"{row.pk}: pumps in the sweeper"]


def test_two_findings_of_the_end_are_for_a_person_to_choose(story, rebound, cast, signed_in):
    said(story, "pumps in the sweeper", "front")
    said(story, "dives on the brakes", "front")
    assert [one.certain for one in reasons_of(entry_of(story), rebound)] == [False, False]
    assert tapped(panel(signed_in(cast.tuner), story, rebound)) == [""]


def test_a_finding_that_asks_for_another_adjuster_is_not_tapped(story, rebound):
    """None of the steps of this finding is the rebound of its end."""
    named = story.basis().catalogue.findings
    code = next(
        finding.code
        for finding in named.values()
        if finding.steps
        and finding.end_of(None)
        and all(step.function != Function.REBOUND for step in finding.steps)
    )
    story.found(code, "front")
    assert [one.certain for one in reasons_of(entry_of(story), rebound)] == [False]


def test_the_suggestion_that_moves_this_adjuster_comes_first(story, rebound):
    said(story, RUNS_WIDE)
    noted = story.found("B1")
    story.read("push", "front", "s", seconds=1.6)
    suggestion = story.plan().suggestion
    assert rebound.pk in [move.key for move in suggestion.moves]
    first, *others = reasons_of(entry_of(story), rebound)
    assert (first.certain, first.finding) == (True, str(noted.pk))
    assert "1.6 s" in first.text
    assert [one.text for one in others] == [RUNS_WIDE]


def test_a_finding_that_was_answered_is_offered_no_more(story, rebound):
    row = said(story, "pumps in the sweeper", "front")
    done = change(story, rebound, finding=str(row.pk), reason="pumps in the sweeper")
    assert reasons_of(entry_of(story), rebound) == []
    story.act("withdraw", row=str(done.pk))
    assert [one.certain for one in reasons_of(entry_of(story), rebound)] == [True]


def test_the_reason_tapped_is_the_one_that_is_told(story, rebound, cast, signed_in):
    row = said(story, RUNS_WIDE)
    said(story, "pumps in the sweeper", "front")
    told = send(signed_in(cast.tuner), story, rebound, why=f"{row.pk}: {RUNS_WIDE}")
    assert (told.reason, str(told.finding_id)) == (RUNS_WIDE, str(row.pk))
    (part,) = story_of([entry_of(story)])
    assert part["done"][0].endswith(f": {RUNS_WIDE}")


@pytest.mark.parametrize(
    ("fields", "reason"),
    [({"why": ""}, ""), ({}, ""), ({"why": ": slow push", "reason": "own words"}, "own words")],
)
def test_none_of_these_and_own_words(story, rebound, cast, signed_in, fields, reason):
    said(story, "pumps in the sweeper", "front")
    row = send(signed_in(cast.tuner), story, rebound, **fields)
    assert (row.reason, row.finding) == (reason, None)


def test_a_change_by_order_is_for_what_was_ordered(story, rebound):
    row = said(story, "pumps in the sweeper", "front")
    move = {"adjuster": rebound.pk, "from_position": "10", "to_position": "11"}
    ordered = story.act("order", moves=[move], reason="slow push", finding=str(row.pk))
    done = change(story, rebound, order=str(ordered.pk))
    assert done.outcome == Outcome.APPLIED
    written = Adjustment.objects.get(kind="change")
    assert (written.reason, str(written.finding_id)) == ("slow push", str(row.pk))
