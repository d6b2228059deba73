"""On a phone: the language is chosen under one's name, and stays."""

import pytest
from playwright.sync_api import expect

from jobs.desk.demo.business import PASSWORD

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_the_tuner_reads_the_board_in_german(person, live_server, demo, played):
    played("midday")
    tuner = person("roan", PASSWORD, size="phone")
    tuner.goto("/")
    tuner.locator("details.me summary").click()
    tuner.get_by_role("button", name="Deutsch").click()
    expect(tuner.locator("main")).to_contain_text("Zuerst ansehen")
    expect(tuner.locator("html")).to_have_attribute("lang", "de")
    tuner.locator(".plates a, .roll a").first.click()
    expect(tuner.locator("main")).to_contain_text("Motorradblatt")
    assert tuner.evaluate("document.documentElement.scrollWidth <= innerWidth")
    tuner.get_by_role("link", name="Motorradblatt").first.click()
    expect(tuner.locator("main")).to_contain_text("Zugstufe")
    assert tuner.evaluate("document.documentElement.scrollWidth <= innerWidth")
    tuner.goto("/")
    tuner.locator("details.me summary").click()
    tuner.get_by_role("button", name="English").click()
    expect(tuner.locator("main")).to_contain_text("See first")
