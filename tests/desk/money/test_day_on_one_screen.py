"""The money of a day: a line for each customer, 24 of them on the screen of a laptop."""

import pytest
from django.urls import reverse

from jobs.billing.models import Document
from jobs.billing.services.drafts import invoice_draft
from jobs.billing.services.issue import document_issue
from tests.billing.conftest import customer_make, refreshed
from tests.board.test_round_on_one_screen import HIDDEN
from tests.browsing import sign_in
from tests.days import day_build

pytestmark = [
    pytest.mark.browser,
    pytest.mark.display,
    pytest.mark.django_db(transaction=True),
]


@pytest.fixture
def laptop(context, live_server, prices, tuner):
    """With a mouse: the money of a day of 24 customers, the first of them invoiced."""
    found = day_build(bikes=24, customers=[customer_make(f"Rider {n:02}") for n in range(24)])
    first = refreshed(found.entries)[0]
    document_issue(
        document=invoice_draft(customer=first.payer, entries=[first], by=tuner), by=tuner
    )
    sign_in(context, live_server.url, tuner)
    page = context.new_page()
    page.set_viewport_size({"width": 1440, "height": 900})
    page.goto(live_server.url + reverse("money:day", args=[found.trackday.pk]))
    page.locator(".payer").first.wait_for()
    return page


def test_24_customers_need_no_scrolling_and_each_line_says_how_it_stands(laptop):
    lines = laptop.locator(".payer > summary")
    assert lines.count() == 24
    assert laptop.evaluate(HIDDEN, ".payer > summary, .day-acts .btn") == []
    assert "invoiced" in lines.first.inner_text()
    assert "€260.00" in lines.first.inner_text()
    assert "ready" in lines.last.inner_text()


def test_a_line_opens_and_its_invoice_is_drafted(laptop):
    last = laptop.locator(".payer").last
    button = last.get_by_role("button", name="Invoice", exact=True)
    assert button.is_hidden()
    last.locator("summary").click()
    button.click()
    laptop.wait_for_url("**/documents/*/")
    assert Document.objects.get(number__isnull=True).customer.name == "Rider 23"
