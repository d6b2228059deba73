"""A customer shows one day by a link, and takes it back; nobody else's day, nothing beside it."""

import re

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from jobs.people.services import links_withdraw
from jobs.trackday.models import SharedDay
from tests.days import day_build
from tests.queries import page_queries


@pytest.fixture
def day(cast):
    return day_build(bikes=2, customers=[cast.customer_a.customer, cast.customer_b.customer])


@pytest.fixture
def mine(signed_in, customer_a):
    return signed_in(customer_a)


def share(browser, entry):
    """The link that the day's page shows after the button."""
    page = browser.post(reverse("portal:share", args=[entry.pk]), follow=True).content.decode()
    return re.search(rf'href="{re.escape(settings.PUBLIC_URL)}(/shared/[^"]+)"', page)[1]


def test_a_shared_day_opens_without_signing_in_and_shows_nothing_beside_it(day, mine):
    entry = day.entries[0]
    link = share(mine, entry)
    answer = Client().get(link)
    page = answer.content.decode()
    assert answer.status_code == 200
    assert str(entry.bike) in page
    assert "/my/" not in page
    assert "customer-a@example.org" not in page
    assert "no-store" in answer["Cache-Control"]
    for path in (reverse("portal:day", args=[entry.pk]), reverse("portal:home")):
        browser = Client()
        browser.get(link)
        assert browser.get(path).status_code == 302


def test_it_is_taken_back_and_a_new_one_is_another_link(day, mine):
    entry = day.entries[0]
    link = share(mine, entry)
    assert share(mine, entry) == link
    mine.post(reverse("portal:unshare", args=[entry.pk]))
    assert Client().get(link).status_code == 410
    again = share(mine, entry)
    assert again != link
    assert Client().get(link).status_code == 410
    assert Client().get(again).status_code == 200


def test_nobody_elses_day_is_shared_or_taken_back(day, mine, signed_in, customer_b):
    other = day.entries[1]
    assert mine.post(reverse("portal:share", args=[other.pk])).status_code == 404
    link = share(signed_in(customer_b), other)
    assert mine.post(reverse("portal:unshare", args=[other.pk])).status_code == 404
    assert Client().get(link).status_code == 200
    assert SharedDay.objects.count() == 1


@pytest.mark.parametrize("wrong", ["x", "MQ:1tQw:abc", "../"])
def test_a_changed_link_opens_nothing(db, wrong):
    assert Client().get(f"/shared/{wrong}/").status_code in (404, 410)


def test_withdrawing_the_customers_links_closes_it(day, mine, customer_a):
    link = share(mine, day.entries[0])
    links_withdraw(customer=customer_a.customer)
    assert Client().get(link).status_code == 410


@pytest.mark.parametrize("shared", [0, 1])
def test_a_day_costs_the_same_queries_shared_or_not(day, mine, shared):
    entry = day.entries[0]
    if shared:
        share(mine, entry)
    assert page_queries(mine, reverse("portal:day", args=[entry.pk])) == 38
