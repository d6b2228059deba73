"""A finding written in its form: on a tablet, without a script, button by button."""

import pytest
from axe_playwright_python.sync_playwright import Axe

from jobs.advice.selectors import catalogue
from tests.browsing import sign_in
from tests.conftest import PASSWORD

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def page(chromium, live_server, cast):
    context = chromium.new_context(
        base_url=live_server.url,
        viewport={"width": 1180, "height": 820},
        java_script_enabled=False,
    )
    page = context.new_page()
    page.set_default_timeout(15_000)
    sign_in(context, live_server.url, cast.tuner)
    return page


def press(page, value):
    with page.expect_navigation():
        page.click(f"button[value='{value}'] >> nth=0")


def test_a_finding_is_written_without_a_script_and_stands_in_the_catalogue(page):
    page.goto("/findings/")
    page.click("text=Add a finding")
    page.fill("#at-title", "Shivers at speed")
    page.select_option("#at-family", "rider")
    page.fill("#at-see", "A light shiver in the bars.")
    press(page, "add:suspects")
    assert page.evaluate("scrollY") > 0  # the new suspect is what one sees
    page.fill("#at-suspects-1-text", "Rebound too quick")
    page.check("input[name='suspects-1-kinds'][value='damping']")
    page.select_option("select[name='suspects-1-when-new']", "push")
    press(page, "or:suspects-1-when")
    page.click("#at-suspects-1 > summary, #at-new > summary")
    page.click("text=Keep it as our own >> nth=0")
    alert = page.inner_text("[role=alert]")
    assert "Which end: This is missing." in alert
    assert "Suspect 1, What speaks for it: any one of these" in alert
    page.select_option("#at-ends", "front")
    page.check("input[name='suspects-1-when-1-1-is'][value='fast']")
    page.click("text=Keep it as our own >> nth=0")
    assert "OWN1 is kept as our own" in page.inner_text("main")
    found = catalogue().findings["OWN1"]
    assert (found.title, found.suspects[0].when[0].text) == ("Shivers at speed", "push fast")


def test_the_form_has_no_fault_axe_knows_folded_or_open(person, cast):
    page = person(cast.tuner.username, PASSWORD, size="tablet")
    page.goto("/findings/R3/")
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true })")
    page.fill("#at-title", "")
    page.click("text=Keep it as our own >> nth=0")
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true })")
    violations = Axe().run(page).response["violations"]
    assert [f"{v['id']}: {v['nodes'][0]['html'][:160]}" for v in violations] == []
    page.set_viewport_size({"width": 320, "height": 800})
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
