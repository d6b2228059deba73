"""Months of the books, closed and opened again on *Tax and export*."""

import datetime

import pytest
from django.urls import reverse

from jobs.billing.models import Document, Terms
from jobs.billing.services.drafts import quote_draft
from jobs.billing.services.issue import document_issue

MARCH = datetime.date(2026, 3, 12)


def said(response) -> str:
    return " ".join(str(message) for message in response.context["messages"])


@pytest.fixture
def of_march(day, payer, tuner) -> Document:
    draft = quote_draft(customer=payer, entries=day.entries, by=tuner)
    return document_issue(document=draft, by=tuner, on=MARCH)


def test_the_office_closes_months_and_only_a_tuner_opens_them_again(
    of_march, desk, office, signed_in
):
    at_desk = signed_in(office)
    page = at_desk.get(reverse("money:tax"))
    assert page.context["months"][0] == datetime.date(2026, 3, 1)
    close, again = reverse("money:month-close"), reverse("money:month-open")
    page = at_desk.post(close, {"month": "2026-03"}, follow=True)
    assert said(page) == "The books are closed to the end of March 2026."
    assert "A tuner can open the last month again." in page.content.decode()
    assert at_desk.post(again).status_code == 403
    assert Terms.objects.get().closed_through == datetime.date(2026, 3, 31)
    page = desk.get(reverse("money:tax"))
    assert "Open March 2026 again" in page.content.decode()
    assert said(desk.post(again, follow=True)) == "March 2026 is open again."


def test_a_payment_into_a_closed_month_is_refused_with_the_way_on(
    day, payer, invoice, desk, of_march
):
    desk.post(reverse("money:month-close"), {"month": "2026-03"}, follow=True)
    form = {"id": "5b1c1d3e-0000-4000-8000-000000000001", "received_on": "2026-03-30"}
    page = desk.post(reverse("money:pay", args=[invoice.pk]), form, follow=True)
    assert said(page).startswith(
        "The payment is dated 30 March 2026, and the books are closed up to 31 March 2026."
    )


@pytest.mark.parametrize("typed", ["", "soon", "2026-13"])
def test_what_is_no_month_is_asked_for_again(prices, desk, typed):
    page = desk.post(reverse("money:month-close"), {"month": typed}, follow=True)
    assert said(page) == "Choose the month to close."
