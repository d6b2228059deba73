"""A bike is sold on the bike sheet; buyer and seller look at it on their phones."""

import re

import pytest
from playwright.sync_api import expect

from jobs.desk.demo.business import PASSWORD
from jobs.desk.link_mail import link_url
from jobs.people.models import Customer
from jobs.trackday.models import Entry

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def entry(live_server, settings, demo, played):
    settings.PUBLIC_URL = live_server.url
    played("morning")
    return Entry.objects.select_related("bike__owner", "rider").get(ref="FH-02")


def test_the_seller_keeps_the_day_and_the_buyer_sees_the_machine(person, entry):
    seller, bike, rider = entry.bike.owner, str(entry.bike), entry.rider.name
    buyer = Customer.objects.exclude(pk=seller.pk).exclude(bikes=None).order_by("pk").first()

    tuner = person("roan", PASSWORD, size="phone")
    tuner.goto(f"/bikes/{entry.pk}/owner/")
    tuner.get_by_label("Now belongs to").select_option(str(buyer.pk))
    tuner.get_by_label(re.compile("agreed")).check()
    tuner.get_by_role("button", name="Pass the bike on").click()
    expect(tuner.locator("#notices")).to_contain_text(f"now belongs to {buyer.name}")
    expect(tuner.get_by_label(re.compile("The machine's days of"))).to_be_checked()
    assert tuner.evaluate("document.documentElement.scrollWidth <= innerWidth")

    for customer, is_whole in ((seller, True), (buyer, False)):
        phone = person(size="phone")
        phone.goto(link_url(customer))
        phone.get_by_role("button", name="Open my pages").click()
        phone.goto("/my/everything/")
        phone.get_by_role("link", name=re.compile(re.escape(bike))).first.click()
        phone.goto(f"/my/days/{entry.pk}/")
        main = phone.locator("main")
        expect(main).to_contain_text("Before and after")
        expect(main).to_contain_text("Front")
        if is_whole:
            expect(main).to_contain_text(rider)
        else:
            expect(main).to_contain_text("This day was another owner's")
            expect(main).not_to_contain_text(rider)
            expect(main).not_to_contain_text("Expected")
        assert phone.evaluate("document.documentElement.scrollWidth <= innerWidth")
