"""A link signs one customer in, once; it runs out, can be withdrawn, and asked for again."""

from datetime import timedelta

import pytest
import time_machine
from django.conf import settings
from django.core import mail as django_mail
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.desk.link_mail import link_url
from jobs.outbox.models import Job, Mail
from jobs.outbox.worker import do as job_do
from jobs.people.links import AT_THE_VAN
from jobs.people.models import Customer, SignInLink
from jobs.people.selectors import customers_by_email
from jobs.people.services import customers_link, links_withdraw
from tests.days import day_build
from tests.queries import queries


@pytest.fixture
def bikes(cast):
    customers = [cast.customer_a.customer, cast.customer_b.customer]
    return [e.bike for e in day_build(bikes=2, customers=customers).entries]


@pytest.fixture
def mail_goes_out(settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"


def path(customer):
    return link_url(customer).removeprefix(settings.PUBLIC_URL)


def test_a_link_opens_own_bikes_and_nobody_elses(bikes):
    browser = Client()
    page = browser.post(path(bikes[0].owner), follow=True).content.decode()
    assert f"/my/bikes/{bikes[0].pk}/" in page
    assert f"/my/bikes/{bikes[1].pk}/" not in page
    assert browser.get(reverse("portal:bike", args=[bikes[0].pk])).status_code == 200
    assert browser.get(reverse("portal:bike", args=[bikes[1].pk])).status_code == 404


def test_opening_a_link_signs_nobody_in_and_uses_nothing_up(bikes):
    link, scanner = path(bikes[0].owner), Client()
    for _ in range(3):
        page = scanner.get(link)
        assert page.status_code == 200
        assert "Open my pages" in page.content.decode()
        assert "no-store" in page["Cache-Control"]
    assert scanner.get(reverse("portal:home")).status_code == 302
    assert Client().post(link).url == reverse("portal:home")


def test_a_link_signs_in_once(bikes):
    link = path(bikes[0].owner)
    first, second = Client(), Client()
    assert first.post(link).status_code == 302
    assert second.post(link).status_code == 410
    assert second.get(link).status_code == 410
    assert second.get(reverse("portal:home")).status_code == 302
    assert first.get(link).url == reverse("portal:home")  # tapped again on one's own phone


def test_only_a_hash_of_the_token_is_kept(bikes):
    link = path(bikes[0].owner)
    [row] = SignInLink.objects.all()
    assert link.split("/")[3] not in row.token_hash
    assert len(row.token_hash) == 64


@pytest.mark.parametrize(("form", "lasts"), [({"stay": "on"}, 399), ({}, 0)])
def test_a_device_stays_signed_in_where_that_was_wished(bikes, form, lasts):
    browser = Client()
    browser.post(path(bikes[0].owner), form)
    with time_machine.travel(timezone.now() + timedelta(days=lasts, hours=11)):
        assert browser.get(reverse("portal:everything")).status_code == 200
    with time_machine.travel(timezone.now() + timedelta(days=lasts + 1, hours=13)):
        assert browser.get(reverse("portal:home")).status_code == 302


def test_other_devices_are_signed_out_by_the_customer(bikes):
    here, lost = Client(), Client()
    for browser in (here, lost):
        browser.post(path(bikes[0].owner), {"stay": "on"})
    page = here.get(reverse("portal:everything")).content.decode()
    assert "this device" in page
    here.post(reverse("portal:others-out"))
    assert here.get(reverse("portal:everything")).status_code == 200
    assert lost.get(reverse("portal:home")).status_code == 302


def test_a_customer_without_a_sign_in_gets_one(db):
    customer = Customer.objects.create(name="Di", email="di@example.org")
    browser = Client()
    assert browser.post(path(customer), follow=True).status_code == 200
    customer.refresh_from_db()
    assert customer.user.role == "customer"
    assert not customer.user.has_usable_password()


def test_a_link_runs_out_after_thirty_days(bikes):
    link = path(bikes[0].owner)
    with time_machine.travel(timezone.now() + timedelta(days=29)):
        assert Client().get(link).status_code == 200
    with time_machine.travel(timezone.now() + timedelta(days=31)):
        assert Client().get(link).status_code == 410
        assert Client().post(link).status_code == 410


def test_a_changed_link_opens_nothing(bikes):
    link = path(bikes[0].owner)
    for wrong in (link[:-2] + "/", link.replace("open/", "open/x"), "/my/open/nothing/"):
        assert Client().get(wrong).status_code == 410
        assert Client().post(wrong).status_code == 410


def test_withdrawing_ends_links_and_sessions(bikes):
    customer = bikes[0].owner
    link, browser = path(customer), Client()
    browser.post(path(customer), {"stay": "on"})
    links_withdraw(customer=customer)
    assert Client().get(link).status_code == 410
    assert browser.get(reverse("portal:home")).status_code == 302


def test_a_customers_link_never_signs_crew_in(bikes, tuner):
    customer = bikes[0].owner
    link = path(customer)
    customer.user.role = "tuner"
    customer.user.save(update_fields=["role"])
    assert Client().post(link).status_code == 410


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
    assert Client().post(link_in(mail)).status_code == 302


def link_in(mail):
    [link] = [w for w in mail.text.split() if "/my/open/" in w]
    return link.removeprefix(settings.PUBLIC_URL)


def test_without_an_email_the_link_is_handed_over(bikes, signed_in, office):
    owner = bikes[0].owner
    owner.email = ""
    owner.save(update_fields=["email"])
    page = signed_in(office).post(
        reverse("desk:customer-link", args=[owner.pk]), follow=True
    )  # fmt: skip
    assert "/my/open/" in page.content.decode()
    assert Mail.objects.count() == 0


# A new link, asked for by who has an address on file


def ask(email):
    return Client().post(reverse("portal:renew"), {"email": email})


def words(answer):
    """The page without what is new in every answer."""
    return answer.content.decode().split("<main")[1].split("</main>")[0]


@pytest.mark.django_db(transaction=True)
def test_a_new_link_comes_to_the_address_on_file(bikes, mail_goes_out):
    assert ask(" Customer-A@example.org ").status_code == 200
    job_do(Job.objects.get(handler="desk.link_mail").pk)
    mail = Mail.objects.get()
    assert mail.to == "customer-a@example.org"
    page = Client().post(link_in(mail), follow=True).content.decode()
    assert f"/my/bikes/{bikes[0].pk}/" in page
    job_do(Job.objects.get(handler="outbox.mail").pk)
    assert [sent.to for sent in django_mail.outbox] == [["customer-a@example.org"]]


@pytest.mark.django_db(transaction=True)
def test_the_answer_says_nothing_of_whether_an_address_is_known(bikes, mail_goes_out):
    ask("somebody@example.org")  # the first of this address in the network is kept anew
    with queries() as first:
        known = ask("customer-a@example.org")
    with queries() as second:
        unknown = ask("nobody@example.org")
    assert len(first) == len(second)  # nor how long it takes
    assert known.status_code == unknown.status_code == 200
    assert words(known) == words(unknown)
    asked = Job.objects.filter(handler="desk.link_mail")
    assert {job.payload["customer"] for job in asked} == {bikes[0].owner_id, None}
    for job in asked:
        job_do(job.pk)
    assert [mail.to for mail in Mail.objects.all()] == ["customer-a@example.org"]


@pytest.mark.django_db(transaction=True)
def test_asking_is_throttled_alike_for_known_and_unknown_addresses(bikes, mail_goes_out):
    for email in ("customer-a@example.org", "nobody@example.org"):
        assert [ask(email).status_code for _ in range(6)] == [200] * 5 + [422]
    jobs = Job.objects.filter(handler="desk.link_mail")
    assert (jobs.filter(payload__customer=bikes[0].owner_id).count(), jobs.count()) == (5, 10)


@pytest.mark.django_db(transaction=True)
def test_one_address_in_the_network_cannot_try_many(bikes, mail_goes_out):
    answers = [ask(f"somebody{number}@example.org").status_code for number in range(21)]
    assert answers == [200] * 20 + [422]


def test_a_person_found_twice_is_sent_one_letter(bikes, mail_goes_out, cast):
    again = Customer.objects.create(name="Ada again", email="customer-a@example.org")
    customers_link(customer=again, other=bikes[0].owner, by=cast.tuner)
    assert [c.pk for c in customers_by_email("CUSTOMER-A@example.org")] == [bikes[0].owner.pk]


def test_without_mail_it_says_whom_to_ask_and_promises_nothing(cast, settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.dummy.EmailBackend"
    assert "ask your tuner" in ask("customer-a@example.org").content.decode()
    assert Job.objects.count() == 0


def test_what_is_no_address_is_named(db, mail_goes_out):
    answer = ask("ada at example")
    assert answer.status_code == 422
    assert "Enter a valid email address" in answer.content.decode()


# The code on the tuner's screen


def test_the_code_at_the_van_signs_in_within_minutes(bikes, signed_in, tuner, monkeypatch):
    drawn = []
    monkeypatch.setattr(
        "jobs.desk.link_mail.link_url",
        lambda customer, lasts: drawn.append(link_url(customer, lasts)) or drawn[-1],
    )
    owner = bikes[0].owner
    page = signed_in(tuner).post(reverse("desk:customer-code", args=[owner.pk]))
    assert "<svg" in page.content.decode()
    assert "within 15 minutes" in " ".join(page.content.decode().split())
    assert "no-store" in page["Cache-Control"]
    link = drawn[0].removeprefix(settings.PUBLIC_URL)
    with time_machine.travel(timezone.now() + AT_THE_VAN + timedelta(seconds=1)):
        assert Client().get(link).status_code == 410
    assert Client().post(link).status_code == 302


def test_a_helper_shows_no_code(bikes, signed_in, helper):
    url = reverse("desk:customer-code", args=[bikes[0].owner.pk])
    assert signed_in(helper).post(url).status_code == 403
    assert SignInLink.objects.count() == 0
