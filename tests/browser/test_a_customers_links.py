"""A customer on a phone: from the mail to their pages, a day shared and taken back, a new link."""

import re
from datetime import timedelta

import pytest
import time_machine
from django.utils import timezone
from playwright.sync_api import expect

from jobs.desk.demo.business import PASSWORD
from jobs.desk.link_mail import link_url
from jobs.outbox.models import Mail
from jobs.outbox.worker import drain
from jobs.trackday.models import Entry

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def entry(live_server, settings, demo, played):
    settings.PUBLIC_URL = live_server.url
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    played("morning")
    return Entry.objects.select_related("bike__owner").get(ref="FH-02")


def link_in(mail):
    return re.search(r"http\S+/my/open/\S+", mail.text)[0]


def opened_by(page, link):
    page.goto(link)
    page.get_by_role("button", name="Open my pages").click()
    expect(page.locator(".lede")).to_be_visible()  # one bike: the page opens at it


def test_from_the_mail_to_a_day_that_is_shared_and_taken_back(person, entry):
    owner, bike = entry.bike.owner, str(entry.bike)
    office = person("roan", PASSWORD, size="phone")
    office.goto(f"/desk/customers/{owner.pk}/")
    office.get_by_role("button", name="Send the link").click()
    expect(office.locator("#notices")).to_contain_text(owner.email)
    link = link_in(Mail.objects.get(to=owner.email, text__contains="/my/open/"))

    scanner = person(size="phone")
    scanner.goto(link)
    scanner.goto(link)
    customer = person(size="phone")
    opened_by(customer, link)
    assert scanner.goto(link).status == 410

    customer.get_by_role("button", name="Make a link to this day").click()
    shared = customer.locator("a.address").inner_text()
    friend = person(size="phone")
    friend.goto(shared)
    expect(friend.get_by_role("heading", name=bike)).to_be_visible()
    expect(friend.locator("main")).to_contain_text("Before and after")
    assert friend.evaluate("document.documentElement.scrollWidth <= innerWidth")

    customer.get_by_role("button", name="Take the link back").click()
    expect(customer.locator("#notices")).to_contain_text("opens nothing any more")
    assert friend.goto(shared).status == 410


def test_a_link_that_ran_out_is_renewed_by_mail_on_the_same_page(person, entry):
    owner = entry.bike.owner
    with time_machine.travel(timezone.now() - timedelta(days=40), tick=True):
        old = link_url(owner)
    customer = person(size="phone")
    assert customer.goto(old).status == 410
    customer.get_by_label("Your e-mail address").fill(owner.email.upper())
    customer.get_by_role("button", name="Send me a new link").click()
    expect(customer.locator(".notice.success")).to_contain_text("If we know this address")
    drain()
    opened_by(customer, link_in(Mail.objects.get(to=owner.email, text__contains="/my/open/")))


def test_the_code_on_the_tuners_screen_is_shown_from_the_bike_sheet(person, entry):
    tuner = person("roan", PASSWORD, size="phone")
    tuner.goto(f"/bikes/{entry.pk}/parts/")
    tuner.get_by_role("button", name=re.compile("code to scan")).click()
    code = tuner.locator(".scan svg")
    expect(code).to_be_visible()
    box = code.bounding_box()
    assert box["width"] >= 250
    assert box["x"] + box["width"] <= 390
