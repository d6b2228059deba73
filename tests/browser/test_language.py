"""On a phone: the language is chosen under one's name, and stays."""

import pytest
from playwright.sync_api import expect

from jobs.desk.demo.business import PASSWORD

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def is_readable(page):
    """Nothing is wider than the phone, and no word reaches out of its button."""
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    outside = """[...document.querySelectorAll(".btn")].filter(button => {
        const words = document.createRange(), box = button.getBoundingClientRect();
        return [...button.childNodes].filter(node => node.nodeType === 3).some(node => {
            words.selectNodeContents(node);
            const text = words.getBoundingClientRect();
            return text.width && (text.left < box.left || text.right > box.right);
        });
    }).map(button => button.innerText)"""
    assert page.evaluate(outside) == []


def test_the_tuner_reads_the_board_in_german(person, live_server, demo, played):
    played("midday")
    tuner = person("roan", PASSWORD, size="phone")
    tuner.goto("/")
    tuner.locator("details.me summary").click()
    tuner.get_by_role("button", name="Deutsch").click()
    expect(tuner.locator("main")).to_contain_text("Zuerst ansehen")
    expect(tuner.locator("html")).to_have_attribute("lang", "de")
    is_readable(tuner)
    tuner.locator(".plates a, .roll a").first.click()
    expect(tuner.locator("main")).to_contain_text("Motorradblatt")
    is_readable(tuner)
    tuner.get_by_role("link", name="Motorradblatt").first.click()
    expect(tuner.locator("main")).to_contain_text("Zugstufe")
    is_readable(tuner)
    for path in ("/round/", "/desk/", "/desk/money/", "/findings/", "/checklists/", "/workbench/"):
        tuner.goto(path)
        is_readable(tuner)
    tuner.goto("/")
    tuner.locator("details.me summary").click()
    tuner.get_by_role("button", name="English").click()
    expect(tuner.locator("main")).to_contain_text("See first")
