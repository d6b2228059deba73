"""A bike is in from its outing: judged on the round, put back by order, then the next suspect.

One change an end and outing, put back first where it was not seen: common practice, no source.
"""

import pytest
from playwright.sync_api import Page, expect

from jobs.advice.selectors import evidence
from jobs.desk.demo.business import fixture
from jobs.garage.models import Adjuster
from jobs.setups.models import Adjustment, Expectation, Judgement
from jobs.worklist.services import checklists_load, day_checklists_keep
from tests.advice.story import Story
from tests.conftest import PASSWORD

from .at_work import Person

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def story(cast) -> Story:
    """It chattered, the rebound was set softer for it; now it has come in a second time."""
    checklists_load(lists=fixture("checklists.json"))
    story = Story(cast)
    day_checklists_keep(trackday=story.trackday)
    story.came_in(1)
    chatter = story.found("R5", by_rider=True, words="it chatters mid-corner")
    story.read("push", "front", "s", seconds=1.6)
    story.do_it(chatter)
    story.came_in(2)
    story.found("V2")
    story.read("travel", "front", "mm", used=60)
    return story


def positions(story) -> dict[str, int]:
    """Where the front damping stands, by function."""
    rows = Adjustment.objects.filter(adjuster__bike=story.entry.bike, state="placed")
    stands = dict(rows.order_by("seq").values_list("adjuster__pk", "to_position"))
    front = Adjuster.objects.filter(bike=story.entry.bike, end="front")
    return {a.function: int(stands[a.pk]) for a in front}


def judge_on_the_round(tuner: Person) -> Page:
    """The first thing shown is what was expected; nothing is chosen beforehand."""
    tuner.to_round()
    hand = tuner.page.locator("#hand")
    asked = hand.locator("section.asks").first
    expect(asked).to_contain_text("Starts later or at higher pace.")
    assert hand.locator("> *").first.get_attribute("class") == asked.get_attribute("class")
    verdicts = asked.locator("button[name=verdict]")
    # A ring was read, and no ring shows what rebound does: that can be said too.
    said = ["Seen", "Partly", "Not seen", "Not tested", "Cannot be told by the ring"]
    expect(verdicts).to_have_text(said)
    expect(asked.locator("input[type=radio]:checked")).to_have_count(0)
    asked.get_by_text("Same", exact=True).click()
    tuner.tap(verdicts.nth(2))
    return tuner.page


@pytest.mark.parametrize("size", ["phone", "tablet"])
def test_not_seen_is_put_back_by_order_and_then_the_next_suspect(person, story, size):
    tuner = Person(person("tuner", PASSWORD, size=size), story.trackday)
    page = judge_on_the_round(tuner)
    page.wait_for_url(f"**/bikes/{story.entry.pk}/advice/")
    judged = Judgement.objects.get()
    assert (judged.verdict, judged.like_pace) == ("not_seen", True)
    front = page.locator("section.sheet.now", has=page.get_by_role("heading", name="Front"))
    expect(front).to_contain_text("Put it back first")
    expect(front).to_contain_text("12 out → 10 out")
    tuner.tap(front.get_by_role("button", name="Order it"))
    expect(page.get_by_text("A change is ordered on this end and not done yet")).to_be_visible()

    helper = Person(person("helper", PASSWORD, size=size), story.trackday)
    helper.page.goto(f"/bikes/{story.entry.pk}/")
    helper.tap(helper.page.get_by_role("button", name="Done, counted again"))
    expect(helper.page.get_by_role("button", name="Done, counted again")).to_have_count(0)
    assert positions(story) == {"rebound": 10, "compression": 10}

    page.reload()
    expect(front).to_contain_text("Front compression softer")
    sentence = front.get_by_label("What should be seen next time")
    expect(sentence).to_have_value("Travel rises, harshness falls.")
    tuner.tap(front.get_by_role("button", name="Done, read back"))
    expect(page.locator("main")).to_contain_text("is not judged yet")
    assert positions(story) == {"rebound": 10, "compression": 12}
    assert [e.finding.code for e in Expectation.objects.all()] == ["R5", "V2"]
    assert [(e.finding, e.not_seen) for e in evidence()] == [("R5", 1)]


def test_a_helper_who_judged_stays_on_his_round(person, story):
    helper = Person(person("helper", PASSWORD, size="phone"), story.trackday)
    page = judge_on_the_round(helper)
    expect(page.locator("#hand section.asks")).to_have_count(0)
    assert page.url.endswith("/round/")
    assert Judgement.objects.get().by.username == "helper"
