"""A signed link opens one customer's pages, runs out, and can be withdrawn."""

from datetime import timedelta

import pytest
import time_machine
from django.conf import settings
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.desk.link_mail import link_url
from jobs.outbox.models import Mail
from jobs.people.models import Customer
from jobs.people.services import links_withdraw
from tests.days import day_build


@pytest.fixture
def bikes(cast):
    customers = [cast.customer_a.customer, cast.customer_b.customer]
    return [e.bike for e in day_build(bikes=2, customers=customers).entries]


def path(customer):
    return link_url(customer).removeprefix(settings.PUBLIC_URL)


def test_a_link_opens_own_bikes_and_nobody_elses(bikes):
    browser = Client()
    page = browser.get(path(bikes[0].owner), follow=True).content.decode()
    assert f"/my/bikes/{bikes[0].pk}/" in page
    assert f"/my/bikes/{bikes[1].pk}/" not in page
    assert browser.get(reverse("portal:bike", args=[bikes[0].pk])).status_code == 200
    assert browser.get(reverse("portal:bike", args=[bikes[1].pk])).status_code == 404


def test_the_token_is_not_in_the_address_after_signing_in(bikes):
    assert Client().get(path(bikes[0].owner)).url == reverse("portal:home")


def test_a_customer_without_a_sign_in_gets_one(db):
    customer = Customer.objects.create(name="Di", email="di@example.org")
    browser = Client()
    assert browser.get(path(customer), follow=True).status_code == 200
    customer.refresh_from_db()
    assert customer.user.role == "customer"
    assert not customer.user.has_usable_password()


def test_a_link_runs_out_after_thirty_days(bikes):
    link = path(bikes[0].owner)
    with time_machine.travel(timezone.now() + timedelta(days=29)):
        assert Client().get(link).status_code == 302
    with time_machine.travel(timezone.now() + timedelta(days=31)):
        assert Client().get(link).status_code == 410


def test_a_changed_link_opens_nothing(bikes):
    link = path(bikes[0].owner)
    for wrong in (link[:-2] + "/", link.replace("open/", "open/x"), "/my/open/nothing/"):
        assert Client().get(wrong).status_code == 410


def test_withdrawing_ends_links_and_sessions(bikes):
    customer = bikes[0].owner
    link, browser = path(customer), Client()
    browser.get(link)
    links_withdraw(customer=customer)
    assert Client().get(link).status_code == 410
    assert browser.get(reverse("portal:home")).status_code == 302


def test_a_customers_link_never_signs_crew_in(bikes, tuner):
    customer = bikes[0].owner
    link = path(customer)
    customer.user.role = "tuner"
    customer.user.save(update_fields=["role"])
    assert Client().get(link).status_code == 410


def test_the_office_sends_the_link_once_however_often_the_button_is_pressed(
    bikes, signed_in, office
):
    desk = signed_in(office)
    url = reverse("desk:customer-link", args=[bikes[0].owner.pk])
    send_id = "2f4cb2a6-3f55-4a55-9a55-0a0c0c1d2e3f"
    for _ in range(2):
        desk.post(url, {"send_id": send_id})
    mail = Mail.objects.get()
    assert mail.to == "customer-a@example.org"
    [link] = [w for w in mail.text.split() if "/my/open/" in w]
    assert Client().get(link.removeprefix(settings.PUBLIC_URL)).status_code == 302


def test_without_an_email_the_link_is_handed_over(bikes, signed_in, office):
    owner = bikes[0].owner
    owner.email = ""
    owner.save(update_fields=["email"])
    page = signed_in(office).post(
        reverse("desk:customer-link", args=[owner.pk]), follow=True
    )  # fmt: skip
    assert "/my/open/" in page.content.decode()
    assert Mail.objects.count() == 0
