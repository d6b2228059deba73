"""While there is no tuner every page leads to the first page, which one browser opens."""

import pytest
from django.test import Client
from django.urls import reverse

from jobs.first import gate
from jobs.people import setup_code
from jobs.people.enums import Role
from jobs.people.models import User

pytestmark = pytest.mark.django_db

FIRST = "/first/"
OPENED = b"Name of the business"


@pytest.mark.parametrize("name", ["home", "board:today", "desk:home"])
def test_every_page_leads_to_the_first_page(stranger, name):
    response = stranger.get(reverse(name))
    assert (response.status_code, response.url) == (302, FIRST)


@pytest.mark.parametrize(
    ("name", "accepts"), [("api:days", "text/html"), ("board:today", "application/json")]
)
def test_a_machine_is_told_in_words(stranger, name, accepts):
    response = stranger.get(reverse(name), headers={"Accept": accepts})
    assert response.status_code == 401
    assert response.json() == {"error": "Nobody has set this place up yet."}


def test_the_sign_in_page_says_so_and_leads_there(stranger):
    page = stranger.get(reverse("signin"))
    assert b"nobody can sign in" in page.content
    assert f'href="{FIRST}"'.encode() in page.content


def test_somebody_without_the_right_to_begin_is_led_there_from_home(signed_in):
    helper = User.objects.create(username="hal", role=Role.HELPER)
    assert signed_in(helper).get(reverse("home")).url == FIRST


def test_with_a_tuner_nothing_of_it_is_left(stranger, tuner):
    assert stranger.get(reverse("home")).url.startswith(reverse("signin"))
    assert b"nobody can sign in" not in stranger.get(reverse("signin")).content
    assert stranger.get(FIRST).url == reverse("home")
    assert stranger.post(reverse("first-code"), {"code": "ABCD-EFGH"}).url == FIRST


def test_the_page_asks_for_the_code_and_tells_nothing_else(stranger):
    page = stranger.get(FIRST)
    assert b"One-time code" in page.content
    assert OPENED not in page.content
    assert "no-store" in page.headers["Cache-Control"]


def test_the_typed_code_opens_the_page_in_this_browser_only(stranger):
    code = setup_code.code_new()
    assert stranger.post(reverse("first-code"), {"code": code}).url == FIRST
    page = stranger.get(FIRST)
    assert OPENED in page.content
    assert "no-store" in page.headers["Cache-Control"]
    assert OPENED not in Client().get(FIRST).content


def test_a_wrong_code_is_said(stranger):
    setup_code.code_new()
    page = stranger.post(reverse("first-code"), {"code": "AAAA-AAA9"}, follow=True)
    assert b"That is not the code." in page.content
    assert OPENED not in page.content


def test_the_code_of_an_address_is_replaced_by_the_address_without_it(stranger):
    code = setup_code.code_new()
    response = stranger.get(FIRST, {"code": code})
    assert (response.status_code, response.url) == (302, FIRST)
    assert OPENED in stranger.get(FIRST).content


def test_the_session_gets_a_new_key_when_the_code_is_entered(stranger):
    """Who knew the key before (a shared machine, a planted cookie) is not let in with it."""
    stranger.get(FIRST, {"code": "AAAA-AAA9"})
    session = stranger.session
    session["kept"] = "1"
    session.save()
    planted = session.session_key
    stranger.cookies["sessionid"] = planted
    stranger.get(FIRST, {"code": setup_code.code_new()})
    assert stranger.cookies["sessionid"].value != planted
    other = Client()
    other.cookies["sessionid"] = planted
    assert OPENED not in other.get(FIRST).content


def test_a_new_code_shuts_the_browser_of_the_one_before_out(stranger):
    stranger.get(FIRST, {"code": setup_code.code_new()})
    setup_code.code_new()
    assert OPENED not in stranger.get(FIRST).content


def test_an_invented_secret_opens_nothing(stranger):
    setup_code.code_new()
    session = stranger.session
    session[gate.HOLDER] = "guess"
    session.save()
    stranger.cookies["sessionid"] = session.session_key
    assert OPENED not in stranger.get(FIRST).content


def test_a_request_of_another_site_enters_no_code():
    code = setup_code.code_new()
    browser = Client(enforce_csrf_checks=True)
    assert browser.post(reverse("first-code"), {"code": code}).status_code == 403
    assert setup_code.code_matches(code)
