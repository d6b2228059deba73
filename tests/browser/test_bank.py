"""A bank's file in the office's browser: chosen, its sure sums taken, an unsure one placed."""

import re

import pytest
from playwright.sync_api import Page, expect

from jobs.billing.models import BankLine, Document, Payment
from jobs.billing.selectors.payments import document_open
from tests.billing.conftest import customer_make, day, invoice, payer
from tests.billing.test_bank_files import HERE
from tests.conftest import PASSWORD

__all__ = ["day", "invoice", "payer"]
pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

FILE = HERE / "camt.053.001.08.xml"


def sent(page: Page) -> None:
    page.set_input_files("#id_file", FILE)
    page.get_by_role("button", name="Take it in").click()


def notice(page: Page, words: str) -> None:
    expect(page.locator("#notices")).to_contain_text(words)


def fits(page: Page) -> None:
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


@pytest.mark.parametrize("size", ["laptop", "phone"])
def test_from_the_file_to_the_last_sum_placed(person, cast, invoice: Document, size):
    customer_make("Cem Orr")
    page: Page = person(cast.office.username, PASSWORD, size=size)
    page.goto("/desk/money/bank/")
    expect(page.locator("main")).to_contain_text("Nothing from the bank yet")
    sent(page)
    notice(page, "6 sums are new.")
    fits(page)

    page.get_by_role("button", name="Place it", exact=True).click()
    notice(page, "1 payment placed.")
    assert document_open(invoice) == 0

    waiting = page.locator("li", has_text="Cem Orr")
    waiting.get_by_text("Place it, or set it aside").click()
    fits(page)
    waiting.get_by_label("Document's number, or customer's name").fill("Cem Orr")
    waiting.get_by_role("button", name="Place it there").click()
    notice(page, "Placed: Cem Orr.")

    aside = page.locator("li", has_text="for the weekend")
    aside.get_by_text(re.compile("set it aside$")).click()
    aside.get_by_label("Or set it aside: what is it?").fill("a raffle")
    aside.get_by_role("button", name="Set aside", exact=True).click()
    notice(page, "Set aside.")

    before = list(BankLine.objects.order_by("pk").values())
    sent(page)
    notice(page, "Nothing new: every sum of this file is here already.")
    assert list(BankLine.objects.order_by("pk").values()) == before
    assert Payment.objects.count() == 2
    expect(page.locator("main")).to_contain_text("Placed: 2")
    expect(page.locator("main")).to_contain_text("Money out and charges: 2")
    expect(page.locator("li", has_text="DALY BEN")).to_have_count(1)
