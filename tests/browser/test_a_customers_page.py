"""A customer on a phone looks at their bike: the last day, its terms, a session, the paper."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from jobs.desk.link_mail import link_url
from jobs.people.models import Customer
from jobs.setups.services import sheet_handed_over
from jobs.trackday.models import Entry

pytestmark = [pytest.mark.browser, pytest.mark.pdf, pytest.mark.django_db(transaction=True)]
SUN = {
    "runOnly": ["color-contrast-enhanced"],
    "rules": {"color-contrast-enhanced": {"enabled": True}},
}


@pytest.fixture
def phone(person, live_server, settings, demo, played):
    settings.PUBLIC_URL = live_server.url
    played("evening")
    entry = Entry.objects.filter(bike__owner__name="Maren Voss").order_by("-trackday__date").first()
    sheet_handed_over(entry)
    page = person(size="phone")
    page.goto(link_url(Customer.objects.get(name="Maren Voss")))
    page.get_by_role("button", name="Open my pages").click()
    expect(page.locator(".lede")).to_be_visible()  # who has one bike is led to it
    return page


def faults(page, options=None):
    return [one["id"] for one in Axe().run(page, options=options).response["violations"]]


def test_the_last_day_is_read_and_every_term_opens_where_it_stands(phone):
    expect(phone.locator(".lede")).to_have_text(
        "Front rebound, both legs, 3 clicks softer: it came as expected."
    )
    term = phone.locator("details.term", has_text="Rebound: what it is, which screw")
    term.locator("summary").click()
    expect(term).to_contain_text("it is the screw on top of the leg")
    assert term.locator("summary").bounding_box()["height"] >= 44

    session = phone.locator("details.opens", has_text="Session 5")
    expect(session.locator(".when-closed")).to_be_visible()
    session.locator("summary").click()
    expect(session.locator(".when-open")).to_be_visible()
    expect(session.locator("li").first).to_be_visible()
    assert phone.evaluate("document.documentElement.scrollWidth <= innerWidth")

    terms = phone.locator("details.term")
    for number in range(terms.count()):
        terms.nth(number).evaluate("one => { one.open = true }")
    assert faults(phone) == []
    for theme, options in (("night", {"runOnly": ["color-contrast"]}), ("sun", SUN)):
        phone.evaluate("theme => { document.documentElement.dataset.theme = theme }", theme)
        assert faults(phone, options) == [], theme


def test_the_paper_is_opened_and_an_earlier_day_has_its_own(phone):
    link = phone.get_by_role("link", name="Setup sheet for paper (PDF)")
    answer = phone.request.get(link.get_attribute("href"))
    assert answer.ok
    assert answer.body().startswith(b"%PDF")
    phone.get_by_role("link", name="Fenholt Ring").first.click()
    expect(phone.get_by_role("heading", name="Early autumn open day")).to_be_visible()
    phone.goto("/my/everything/")
    expect(phone.get_by_role("link", name="Download everything")).to_be_visible()
