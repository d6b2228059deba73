"""The browsers one is signed in on: listed in words, and signed out one by one or all."""

from datetime import UTC, datetime

import pytest
from django.test import Client
from django.urls import reverse

from jobs.people.models import OpenSession
from jobs.people.open_sessions import browser_in_words
from tests.conftest import PASSWORD

pytestmark = pytest.mark.django_db

HOME = "/account/"
PHONE = "Mozilla/5.0 (Android 15; Mobile; rv:140.0) Gecko/140.0 Firefox/140.0"
LAPTOP = (
    "Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) "
    "Chrome/140.0.0.0 Safari/537.36 Edg/140.0.0.0"
)


def signed_in_on(agent, user):
    browser = Client(headers={"user-agent": agent})
    browser.post(reverse("signin"), {"username": user.username, "password": PASSWORD})
    return browser


def is_in(browser):
    return browser.get(HOME).status_code == 200


@pytest.mark.parametrize(
    ("agent", "words"),
    [
        (PHONE, "Firefox, Android"),
        (LAPTOP, "Edge, Windows"),
        ("", "another browser, another machine"),
    ],
)
def test_a_browser_is_told_in_words(agent, words):
    assert browser_in_words(agent) == words


def test_every_browser_is_listed_and_this_one_is_named(tuner):
    signed_in_on(PHONE, tuner)
    page = signed_in_on(LAPTOP, tuner).get(HOME).content.decode()
    assert page.index("Edge, Windows") < page.index("this browser") < page.index("Firefox, Android")
    assert page.count("this browser") == 1


def test_when_it_began_is_told_by_the_clock_of_the_business(tuner, business):
    phone = signed_in_on(PHONE, tuner)
    OpenSession.objects.update(began_at=datetime(2026, 6, 13, 9, 30, tzinfo=UTC))
    assert business.timezone == "Europe/Dublin"
    assert "13 Jun 2026, 10:30" in phone.get(HOME).content.decode()


def test_one_browser_is_signed_out(tuner):
    phone, laptop = signed_in_on(PHONE, tuner), signed_in_on(LAPTOP, tuner)
    row = OpenSession.objects.get(browser="Firefox, Android")
    laptop.post(reverse("account:session-out", args=[row.pk]))
    assert (is_in(phone), is_in(laptop)) == (False, True)
    page = laptop.post(reverse("account:session-out", args=[row.pk]), follow=True)
    assert b"signed out already" in page.content


def test_all_others_are_signed_out(tuner):
    phone, laptop = signed_in_on(PHONE, tuner), signed_in_on(LAPTOP, tuner)
    laptop.post(reverse("account:others-out"))
    assert (is_in(phone), is_in(laptop)) == (False, True)


def test_nobody_signs_somebody_else_out(tuner, helper):
    theirs = signed_in_on(PHONE, tuner)
    row = OpenSession.objects.get()
    other = signed_in_on(LAPTOP, helper)
    other.post(reverse("account:session-out", args=[row.pk]))
    other.post(reverse("account:others-out"))
    assert is_in(theirs)
    assert b"Firefox, Android" not in other.get(HOME).content


def test_a_session_that_ended_is_listed_no_more(tuner):
    signed_in_on(PHONE, tuner).post(reverse("signout"))
    page = signed_in_on(LAPTOP, tuner).get(HOME).content
    assert b"Firefox, Android" not in page
    assert OpenSession.objects.count() == 1


def test_after_a_new_password_only_this_browser_is_left(tuner):
    signed_in_on(PHONE, tuner)
    laptop = signed_in_on(LAPTOP, tuner)
    new = "tarmac-and-rain-9"
    form = {"old_password": PASSWORD, "new_password1": new, "new_password2": new}
    laptop.post(reverse("account:password"), form)
    page = laptop.get(HOME).content
    assert (b"this browser" in page, b"Firefox, Android" in page) == (True, False)


def test_a_session_that_began_before_browsers_were_listed_is_signed_out_too(tuner, signed_in):
    earlier, laptop = signed_in(tuner), signed_in_on(LAPTOP, tuner)
    assert OpenSession.objects.count() == 1
    laptop.post(reverse("account:others-out"))
    assert (is_in(earlier), is_in(laptop)) == (False, True)
