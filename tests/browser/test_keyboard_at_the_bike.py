"""Work on a bike by keyboard alone: where the focus is after each swap, and that it is seen."""

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from jobs.desk.demo.business import fixture
from jobs.setups.models import Adjustment, Expectation
from jobs.trackday.models import BikeMove
from jobs.worklist.models import Hold, TaskMark
from jobs.worklist.services import checklists_load, day_checklists_keep
from tests.acts.doing import clock_set, item
from tests.browsing import sign_in
from tests.days import day_build, local
from tests.setups.writing import count, rear_rebound

from .test_keyboard import LOOK, tab_to

pytestmark = [
    pytest.mark.browser,
    pytest.mark.display,
    pytest.mark.django_db(transaction=True),
]

# Whether what has the focus stands in the window, not under its edge.
IN_VIEW = """() => {
  const box = document.activeElement.getBoundingClientRect();
  return box.top >= 0 && box.bottom <= innerHeight;
}"""


@pytest.fixture
def page(chromium, live_server, cast) -> Page:
    context = chromium.new_context(
        base_url=live_server.url, viewport={"width": 1180, "height": 820}
    )
    context.set_default_timeout(15_000)
    sign_in(context, live_server.url, cast.tuner)
    return context.new_page()


@pytest.fixture
def entry(transactional_db, cast):
    entry = day_build(bikes=1).entries[0]
    count(cast.tuner, entry, 14)
    return entry


def press(page: Page, *keys: str) -> None:
    for key in keys:
        page.keyboard.press(key)


def focused(page: Page, selector: str) -> None:
    """That has the focus, is marked as having it, and stands in the window."""
    expect(page.locator(selector)).to_be_focused()
    assert page.evaluate(LOOK)["seen"], f"the focus on {selector} cannot be seen"
    assert page.evaluate(IN_VIEW), f"{selector} has the focus out of sight"


def test_a_change_with_its_expectation(page, entry):
    adjuster = f"#adjuster-{rear_rebound(entry).pk}"
    page.goto(reverse("board:sheet", args=[entry.pk]))
    tab_to(page, "14 out")
    focused(page, adjuster)
    press(page, "Enter")
    expect(page.locator("#panel h2")).to_be_focused()
    assert page.evaluate(IN_VIEW)
    tab_to(page, "", name="by")
    page.keyboard.press("Space")
    steps = page.locator("[name=by]:checked")
    while steps.get_attribute("value") != "-3":
        page.keyboard.press("ArrowRight")
    expect(page.locator("#preview")).to_contain_text("3 clicks firmer")
    offered = page.locator(".then.down button").first.inner_text()
    tab_to(page, offered, name="expects")
    press(page, "Enter")
    expect(page.locator("#notices")).to_contain_text("from 14 out to 11 out: 3 clicks firmer")
    focused(page, adjuster)
    assert Adjustment.objects.get(kind="change").to_position == 11
    assert Expectation.objects.get().text == offered


def test_a_panel_closed_leads_back_to_what_it_was_opened_from(page, entry):
    adjuster = f"#adjuster-{rear_rebound(entry).pk}"
    page.goto(reverse("board:sheet", args=[entry.pk]))
    tab_to(page, "14 out")
    press(page, "Enter")
    expect(page.locator("#panel h2")).to_be_focused()
    tab_to(page, "Close")
    press(page, "Enter")
    expect(page.locator("#panel h2")).to_have_count(0)
    focused(page, adjuster)


def test_a_refused_change_shows_why_where_the_keyboard_is(page, entry):
    page.goto(reverse("board:sheet", args=[entry.pk]))
    tab_to(page, "14 out")
    press(page, "Enter")
    expect(page.locator("#panel h2")).to_be_focused()
    tab_to(page, "In words", name="reason")
    page.keyboard.type("no step chosen")
    press(page, "Enter")
    expect(page.locator("#panel [role=alert]")).to_be_visible()
    expect(page.locator("#panel h2")).to_be_focused()
    expect(page.locator("#reason")).to_have_value("no step chosen")
    assert not Adjustment.objects.filter(kind="change").exists()


def test_a_hold_is_raised_on_the_sheet(page, entry):
    page.goto(reverse("board:sheet", args=[entry.pk]))
    tab_to(page, "Raise a hold")
    press(page, "Enter")
    tab_to(page, "What stops it")
    page.keyboard.type("fork seal wet")
    tab_to(page, "Stop: hold the bike")
    press(page, "Enter")
    expect(page.locator("section.stops")).to_contain_text("fork seal wet")
    expect(page.locator("#sheet h1")).to_be_focused()
    assert Hold.objects.get().words == "fork seal wet"


@pytest.fixture
def work(entry, cast) -> str:
    """The bike has arrived, a minute after its session; what the rider is asked is open."""
    checklists_load(lists=fixture("checklists.json"))
    day_checklists_keep(trackday=entry.trackday)
    BikeMove.objects.create(entry=entry, move="arrived", at=local(8), by=cast.helper)
    clock_set(entry.trackday, local(9, 21))
    return str(item(entry.trackday, "words").text)


def test_from_the_board_to_a_ticked_task_and_a_hold(page, entry, work):
    page.goto(reverse("board:today"))
    tab_to(page, page.locator("ol.first a b").first.inner_text())
    press(page, "Enter")
    page.wait_for_url("**/bikes/**")
    tab_to(page, work)
    press(page, "Enter")
    page.wait_for_url("**/round/?task=**")
    tab_to(page, "As it was said", name="said")
    page.keyboard.type("runs wide at the hairpin")
    tab_to(page, "Done, next")
    press(page, "Enter")
    expect(page.locator("#notices")).to_contain_text("Done")
    expect(page.locator("form.hand")).to_be_focused()
    press(page, "Enter", "Enter")  # not on the same button of the next task
    page.wait_for_timeout(300)
    assert TaskMark.objects.count() == 1
    tab_to(page, "Hold this bike")
    press(page, "Enter")
    page.wait_for_url("**#hold")
    tab_to(page, "What was seen")
    page.keyboard.type("brake pads at the wear mark")
    tab_to(page, "Stop this bike")
    press(page, "Enter")
    expect(page.locator("section.stops")).to_contain_text("brake pads at the wear mark")
    assert Hold.objects.get().words == "brake pads at the wear mark"


def test_a_board_shown_anew_keeps_ones_place(page, entry, work):
    page.goto(reverse("board:today"))
    link = page.locator(".lanes a").first
    link.focus()
    href = link.get_attribute("href")
    assert page.locator(f"ol.first a[href='{href}']").count()  # the same bike twice on the board
    with page.expect_response(lambda answer: answer.request.headers.get("hx-request") == "true"):
        page.evaluate("document.body.dispatchEvent(new Event('moved'))")
    expect(page.locator(".htmx-request, .htmx-settling")).to_have_count(0)
    assert page.evaluate("document.activeElement.getAttribute('href')") == href
    assert page.evaluate("document.activeElement.closest('.lanes') !== null")
