"""Who reads in which language: their own choice, else the browser's."""

import uuid

import pytest
from django.conf import settings
from django.urls import reverse
from django.utils.translation import get_language

from jobs.account import tasks
from jobs.desk.link_mail import link_preview
from jobs.outbox.registry import JobInput
from jobs.people.models import Customer, User
from jobs.people.services import customer_user
from jobs.setups.services.sheets import sheet_handed_over
from tests.days import day_build

pytestmark = pytest.mark.django_db

GERMAN = {"Accept-Language": "de-AT,de;q=0.9,en;q=0.5"}


def choose(client, language, **more):
    return client.post(reverse("language"), {"language": language, **more})


def test_who_has_chosen_nothing_reads_in_the_browsers_language(stranger):
    asked = stranger.get(reverse("signin"), headers=GERMAN).content.decode()
    assert "Anmelden" in asked
    assert 'lang="de"' in asked
    assert (
        "Sign in"
        in stranger.get(reverse("signin"), headers={"Accept-Language": "fr"}).content.decode()
    )


def test_a_choice_goes_with_the_person_to_every_browser(signed_in, tuner):
    answer = choose(signed_in(tuner), "de", next="/desk/")
    assert (answer.status_code, answer.url) == (302, "/desk/")
    assert User.objects.get(pk=tuner.pk).language == "de"
    assert "Büro" in signed_in(tuner).get(reverse("desk:home")).content.decode()
    choose(signed_in(tuner), "en")
    assert "Desk" in signed_in(tuner).get(reverse("desk:home"), headers=GERMAN).content.decode()


def test_the_choice_of_nobody_stays_in_the_browser(stranger):
    choose(stranger, "de")
    assert stranger.cookies[settings.LANGUAGE_COOKIE_NAME].value == "de"
    assert "Anmelden" in stranger.get(reverse("signin")).content.decode()


@pytest.mark.parametrize("language", ["", "fr", "xx"])
def test_a_language_there_is_not_is_refused(stranger, language):
    assert choose(stranger, language).status_code == 400


def test_a_customer_who_chooses_is_written_to_in_it_too(signed_in, cast):
    user, customer = cast.customer_a, cast.customer_a.customer
    choose(signed_in(user), "de")
    customer.refresh_from_db()
    assert customer.language == "de"
    assert (
        "Meine Motorräder"
        in signed_in(user).get(reverse("portal:home"), follow=True).content.decode()
    )


def test_the_office_chooses_for_a_customer(signed_in, cast):
    customer = cast.customer_a.customer
    url = reverse("desk:customer-edit", args=[customer.pk])
    signed_in(cast.tuner).post(url, {"name": customer.name, "language": "de"})
    customer.refresh_from_db()
    assert (customer.language, customer_user(customer=customer).language) == ("de", "de")


def test_who_signs_in_by_a_link_for_the_first_time_reads_in_the_customers_language(cast):
    customer = cast.customer_a.customer
    customer.user, customer.language = None, "de"
    customer.save()
    assert customer_user(customer=customer).language == "de"


def test_a_link_goes_out_in_the_customers_language(cast):
    customer = cast.customer_a.customer
    customer.email, customer.language = "a@example.org", "de"
    customer.save()
    letter = link_preview(customer)
    assert letter.text.startswith("Guten Tag ")
    assert "Mit freundlichen Grüßen" in letter.text


def test_the_mail_for_a_new_password_is_in_the_language_of_who_asked(tuner, monkeypatch):
    tuner.email, tuner.language = "t@example.org", "de"
    tuner.save()
    sent = []
    monkeypatch.setattr(tasks, "mail_is_set_up", lambda: True)
    monkeypatch.setattr(tasks, "server_to_send_by", lambda: None)
    monkeypatch.setattr(tasks, "letter_send", lambda **letter: sent.append(letter))
    tasks.reset_mail(JobInput(uuid.uuid4(), {"user": tuner.pk}))
    (letter,) = sent
    assert letter["subject"].startswith("Ein neues Passwort bei ")
    assert "Legen Sie es innerhalb einer Stunde hier fest" in letter["text"]


def test_a_setup_sheet_is_in_the_language_of_the_bikes_owner(cast, monkeypatch):
    entry = day_build(bikes=1, customers=[cast.customer_a.customer]).entries[0]
    Customer.objects.update(language="de")
    entry.bike.owner.refresh_from_db()
    made_in = []

    def sheet(*args, **kwargs):
        made_in.append(get_language())
        return b"%PDF"

    monkeypatch.setattr("jobs.setups.services.sheets.sheet_pdf", sheet)
    sheet_handed_over(entry)
    assert (made_in, get_language()) == (["de"], "en")
