"""A ring on the screens: told before a change of preload, read after it, and what it says then."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from jobs.setups.models import Expectation, Judgement
from tests.advice.test_ring_outlook import ridden, ring
from tests.conftest import PASSWORD

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
