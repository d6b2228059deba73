"""The first page: the business, its first tuner, and what is left afterwards."""

import pytest
from django.test import Client
from django.urls import reverse

from jobs.people import setup_code
from jobs.people.models import Business, User

FORM = {
    "business": "Corrib Springs",
    "country": "AT",
    "currency": "EUR",
    "timezone": "Europe/Vienna",
    "pressure_unit": "bar",
    "temperature_unit": "degC",
    "name": "Aoife",
    "username": "",
    "password": "gravel-trap-7",
}


@pytest.fixture
def beginner(db) -> Client:
    """A browser in which the one-time code was entered."""
    browser = Client()
    browser.get(reverse("first"), {"code": setup_code.code_new()})
    return browser


def test_a_business_and_its_first_tuner_are_made_and_signed_in(beginner):
    page = beginner.post(reverse("first"), FORM, follow=True)
    assert page.redirect_chain == [(reverse("desk:begin"), 302)]
    assert "You sign in as “aoife” with your password." in page.content.decode()
    kept = Business.objects.get()
    assert (kept.name, kept.country, kept.timezone, kept.pressure_unit) == (
        "Corrib Springs", "AT", "Europe/Vienna", "bar",
    )  # fmt: skip
    user = User.objects.get()
    assert (user.role, user.first_name, user.check_password("gravel-trap-7")) == (
        "tuner", "Aoife", True,
    )  # fmt: skip


def test_nothing_that_nobody_typed_is_left_behind(beginner):
    beginner.post(reverse("first"), FORM)
    kept = Business.objects.get()
    assert [kept.street, kept.city, kept.email, kept.phone, kept.tax_id, kept.iban] == [""] * 6
    page = beginner.get(reverse("desk:begin")).content.decode()
    assert "0 of 7 done" in page  # the first trackday waits for a venue


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("business", "", "This field is required."),
        ("country", "", "This field is required."),
        ("password", "password", "too common"),
        ("username", "two words", "Enter a valid username"),
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_nothing_typed_is_lost(
    beginner, field, value, words
):
    page = beginner.post(reverse("first"), {**FORM, field: value}).content.decode()
    assert words in page
    assert 'value="Aoife"' in page
    assert not User.objects.exists()


def test_the_page_is_closed_once_there_is_a_tuner(beginner):
    beginner.post(reverse("first"), FORM)
    again = beginner.post(reverse("first"), {**FORM, "name": "Mallory"})
    assert again.url == reverse("home")
    assert User.objects.count() == 1


def test_of_two_browsers_that_begin_only_the_one_with_the_code_does(beginner):
    page = Client().post(reverse("first"), FORM).content.decode()
    assert "One-time code" in page
    assert not User.objects.exists()


def test_the_page_says_how_to_look_round_in_a_demo(beginner):
    assert "make demo PORT=8001" in beginner.get(reverse("first")).content.decode()
