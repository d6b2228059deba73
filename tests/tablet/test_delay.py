"""The day slips where there is no network: the delay is asked for, kept, and sent later."""

import pytest
from playwright.sync_api import expect

from jobs.trackday.models import Delay
from tests.outbox.processes import until

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db(transaction=True)]


@pytest.mark.parametrize("cut", ["before it is tapped", "while it is asked"])
def test_a_delay_confirmed_without_network_is_kept_and_sent_once(tablet, day, cast, cut):
    tablet.sign_in(cast.tuner)
    tablet.keep_pages("/day/")
    if cut == "before it is tapped":
        tablet.wire.cut()
    tablet.page.locator("[popovertarget=delay15]").first.click()
    asked = tablet.page.locator("#delay15")
    expect(asked.get_by_role("heading")).to_contain_text("15 min")
    if cut == "while it is asked":
        expect(asked.locator(".counting")).to_be_hidden()
        tablet.wire.cut()
    else:
        expect(asked.locator(".cost")).to_contain_text("counted where there is network")
    asked.locator("button[name=minutes]").click()
    until(lambda: len(tablet.kept()) == 1)
    expect(asked).to_be_hidden()
    assert not Delay.objects.exists()
    tablet.wire.mend()
    until(lambda: Delay.objects.count() == 1)
    tablet.wait_sent()
    assert Delay.objects.get().minutes == 15
