"""A ring on the screens: told before a change of preload, read after it, and what it says then."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from jobs.advice.selectors import evidence
from jobs.garage.models import Fitting, SpringInVan
from jobs.people.models import Rider
from jobs.setups.models import Adjustment, Expectation, Judgement
from jobs.trackday.models import Entry
from tests.advice.test_ring_outlook import changed, ridden, ring
from tests.conftest import PASSWORD
from tests.days import local

__all__ = ["ridden"]
pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def opened(person, story, end, position):
    """The panel of a preload, with the position typed that it should go to."""
    page = person("tuner", PASSWORD, size="phone")
    adjuster = story.preloads[end]
    page.goto(reverse("board:sheet-change", args=[story.entry.pk, adjuster.pk]))
    page.get_by_text("Another position, one leg, oil").click()
    page.fill("#to", position)
    page.locator("#to").blur()
    return page


def test_shock_preload_is_told_and_its_ring_lands(person, ridden):
    for number, used in enumerate((30, 30.5, 29.5), 1):
        ring(ridden, number, "rear", used)
    page = opened(person, ridden, "rear", "9")
    told = page.locator(".ring-outlook")
    expect(told).to_contain_text("Ring about 4 mm further from the end of its travel")
    page.fill("#step_reason", "asked for by the rider")
    told.get_by_role("button").click()
    expect(page.locator("section.asks").first).to_contain_text("Ring about 4 mm further")
    assert Expectation.objects.get().text.startswith("Ring about 4 mm further")
    ring(ridden, 4, "rear", 26.5)
    page.goto(reverse("board:sheet", args=[ridden.entry.pk]))
    asked = page.locator("section.asks").first
    expect(asked).to_contain_text("Seen by the ring.")
    expect(asked.locator("svg .ring-read")).to_have_count(1)


def test_a_mm_of_fork_preload_is_too_small_and_cannot_be_told(person, ridden):
    for number, used in enumerate((90, 92, 89), 1):
        ring(ridden, number, "front", used)
    page = opened(person, ridden, "front", "6")
    told = page.locator(".ring-outlook")
    expect(told).to_contain_text("Too small for the ring (0.8 mm in a band of ±")
    told.get_by_role("button").click()
    expect(page.locator("section.asks").first).to_contain_text("Too small for the ring")
    ring(ridden, 4, "front", 88)
    page.goto(reverse("board:sheet", args=[ridden.entry.pk]))
    page.get_by_role("button", name="Cannot be told by the ring").click()
    expect(page.get_by_role("button", name="Cannot be told by the ring")).to_have_count(0)
    assert Judgement.objects.get().words == "cannot be told by the ring"


def test_without_a_ring_the_panel_says_so(person, ridden):
    page = opened(person, ridden, "front", "6")
    expect(page.locator("#preview")).to_contain_text("No ring has been read of this rider here")


def test_a_spring_swap_is_told_ridden_and_lands(person, ridden):
    for number, used in enumerate((96, 97, 95), 1):
        ring(ridden, number, "front", used)
    ridden.read("sag", "front", "mm", hanging=120, after_push=85, after_lift=87)
    page = person("tuner", PASSWORD, size="phone")
    springs = ridden.springs["front"]
    page.goto(reverse("board:sheet-change", args=[ridden.entry.pk, springs.pk]))
    page.get_by_text("+1", exact=True).click()
    told = page.locator(".ring-outlook")
    expect(told).to_contain_text("Ring about 10 mm further from the end of its travel")
    expect(told).to_contain_text("With the rider's sag kept: preload −")
    expect(told.locator("svg")).to_contain_text("Sag 34 → 28.8 mm")
    expect(page.locator("#preview")).to_contain_text("maker's manual and licensed practice")
    told.get_by_role("button").click()
    expect(page.locator("section.asks").first).to_contain_text("Ring about 10 mm further")
    ring(ridden, 4, "front", 86)
    page.goto(reverse("board:sheet", args=[ridden.entry.pk]))
    asked = page.locator("section.asks").first
    expect(asked).to_contain_text("Seen by the ring.")
    expect(asked.locator("svg .ring-read")).to_have_count(1)
    ridden.entry.bike.refresh_from_db()
    assert float(ridden.entry.bike.front_spring_left_n_per_mm) == 10.5


def test_a_spring_swap_takes_the_preload_that_keeps_the_sag_with_it(person, ridden):
    for number, used in enumerate((96, 97, 95), 1):
        ring(ridden, number, "front", used)
    ridden.act("count", counts=[{"adjuster": ridden.preloads["front"].pk, "position": "12"}])
    ridden.read("sag", "front", "mm", hanging=120, after_push=85, after_lift=87)
    page = person("tuner", PASSWORD, size="phone")
    springs = ridden.springs["front"]
    page.goto(reverse("board:sheet-change", args=[ridden.entry.pk, springs.pk]))
    page.get_by_text("+1", exact=True).click()
    page.get_by_text("−6, sag kept").click()
    told = page.locator(".ring-outlook")
    expect(told).to_contain_text("one outing does not show it")
    told.get_by_role("button").click()
    expect(page.locator("section.asks").first).to_contain_text("one outing does not show it")
    moved = Adjustment.objects.filter(kind="change").order_by("accepted_at", "adjuster")
    assert {(row.adjuster.function, float(row.to_position)) for row in moved} == {
        ("spring", 10.5),
        ("preload", 6.0),
    }


def at_the_end_of_its_travel(story):
    ring(story, 1, "front", 112)


def another_change(story):
    ring(story, 1, "front", 90)
    changed(story, "front", 6)
    changed(story, "front", 5, start=6)


def rain(story):
    ring(story, 1, "front", 90)
    story.came_in(2)
    story.act("conditions", wet=True, trackday=story.trackday.pk)


def not_put_back(story):
    ring(story, 1, "front", 90)
    ring(story, 2, "front", 92, reset=False)
    ring(story, 3, "front", 91)


def the_same_again(story):
    ring(story, 1, "front", 90)
    ring(story, 2, "front", 90)


def few_laps(story):
    ring(story, 1, "front", 90)
    values = [{"name": "lap", "value": "100", "unit": "s", "index": n} for n in (0, 1)]
    story.came_in(2)
    story.act("reading", kind="laps", values=values)
    ring(story, 2, "front", 87)


def another_rider(story):
    ring(story, 1, "front", 90)
    other = Rider.objects.create(customer=story.entry.payer, name="Another rider")
    story.entry = Entry.objects.create(
        trackday=story.trackday, group=story.day.groups[1], bike=story.entry.bike, rider=other,
        package=story.day.package, payer=story.entry.payer, number="8",
    )  # fmt: skip


def another_tyre(story):
    fitted = {"bike": story.entry.bike, "end": "front", "kind": "tyre"}
    Fitting.objects.create(**fitted, name="Slick A", fitted_at=local(7))
    ring(story, 1, "front", 90)
    Fitting.objects.update(removed_at=local(9, 40))
    Fitting.objects.create(**fitted, name="Slick B", fitted_at=local(9, 40))
    story.came_in(2)


@pytest.mark.parametrize(
    ("book", "end", "said"),
    [
        (another_rider, "front", "No ring has been read of this rider here"),
        (another_tyre, "front", "No ring has been read of this rider here"),
        (rain, "front", "No ring has been read of this rider here"),
        (at_the_end_of_its_travel, "front", "the ring hides what is missing"),
        (another_change, "front", "Several changes at this end for one outing"),
        (not_put_back, "front", "The ring was not put back."),
        (the_same_again, "front", "90 mm is the last reading again: was the ring put back?"),
        (few_laps, "front", "Laps ridden: 2. A ring needs at least 3."),
    ],
)
def test_each_refusal_of_a_ring_is_named_on_the_panel(person, ridden, book, end, said):
    book(ridden)
    page = opened(person, ridden, end, "6.5")
    rests = page.get_by_text("What this rests on")
    expect(page.locator("#preview")).to_contain_text(said)
    if rests.count():
        rests.click()
        expect(page.locator("#preview").get_by_text(said)).to_be_visible()


def test_a_ring_at_the_wheel_after_the_change_is_named_on_the_card(person, ridden):
    for number, used in enumerate((30, 30.5, 29.5), 1):
        ring(ridden, number, "rear", used)
    changed(ridden, "rear", 9)
    ridden.came_in(4)
    ridden.read("travel", "rear", "mm", used=60)
    page = person("tuner", PASSWORD, size="phone")
    page.goto(reverse("board:sheet", args=[ridden.entry.pk]))
    expect(page.locator("section.asks").first).to_contain_text("Read at the wheel.")


@pytest.mark.parametrize(("oil", "said"), [("warm", "The oil was warm"), ("hot", "Hot push 1.00")])
def test_clicks_tell_the_next_hot_push_or_say_that_the_oil_was_not_hot(person, ridden, oil, said):
    ridden.came_in(1)
    values = [{"name": "seconds", "value": "1", "unit": "s"}]
    ridden.act(
        "reading", kind="push", end="rear", values=values, oil=oil, oil_reason="felt with the hand"
    )
    rebound = ridden.entry.bike.adjusters.get(end="rear", function="rebound")
    page = person("tuner", PASSWORD, size="phone")
    page.goto(reverse("board:sheet-change", args=[ridden.entry.pk, rebound.pk]))
    page.get_by_text("+2", exact=True).click()
    expect(page.locator("#preview")).to_contain_text(said)
    expect(page.locator("#preview")).to_contain_text("What damping does to the ring cannot be told")


def test_what_a_ring_that_cannot_tell_told_is_no_evidence_and_what_the_rider_told_is(
    person, ridden
):
    for number, used in enumerate((90, 92, 89), 1):
        ring(ridden, number, "front", used)
    changed(ridden, "front", 6)
    ring(ridden, 4, "front", 88)
    page = person("tuner", PASSWORD, size="phone")
    page.goto(reverse("board:sheet", args=[ridden.entry.pk]))
    asked = page.locator("section.asks").first
    expect(asked).to_contain_text("Judged by this ring it counts for nothing in the evidence.")
    asked.get_by_text("The rider's words", exact=True).click()
    asked.get_by_role("button", name="Seen", exact=True).click()
    expect(page.locator("section.asks")).to_have_count(0)
    assert Judgement.objects.get().told_by == "rider"
    assert [row.seen for row in evidence()] == [1]


def test_from_the_panel_to_the_springs_in_the_van_that_bring_the_ring_nearest(person, ridden):
    for rate, pieces in (("9.8", 2), ("10.5", 2), ("11", 1)):
        SpringInVan.objects.create(end="front", rate_n_per_mm=rate, pieces=pieces)
    for number, used in enumerate((96, 97, 95), 1):
        ring(ridden, number, "front", used)
    ridden.read("sag", "front", "mm", hanging=120, after_push=85, after_lift=87)
    page = opened(person, ridden, "front", "6")
    page.get_by_text("What would bring the ring where you want it").click()
    page.fill("[name=aim]", "88")
    page.get_by_role("button", name="Work it out").click()
    answer = page.locator("#answer")
    expect(answer).to_contain_text("10.5 N/mm")
    expect(answer).to_contain_text("with the sag kept: preload −")
    expect(answer).to_contain_text("N/mm a leg: fit 10.")
    text = answer.inner_text()
    assert text.index("10.5 N/mm") < text.index("9.8 N/mm") < text.index("By springs")
    assert "11 N/mm" not in text
