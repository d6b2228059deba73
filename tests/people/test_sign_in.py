"""Signing in under attack: who has to wait, who does not, and what is hashed."""

import pytest
from django.contrib.auth import hashers
from django.test import Client
from django.urls import reverse

from jobs.people.models import WrongTries
from jobs.people.sign_in import ADDRESS_TRIES
from tests.conftest import PASSWORD

pytestmark = pytest.mark.django_db

HOME, FENCE = "192.0.2.7", "198.51.100.9"  # RFC 5737


def post(username, password="wrong", *, at=HOME, browser=None):
    form = {"username": username, "password": password}
    return (browser or Client()).post(reverse("signin"), form, REMOTE_ADDR=at)


def is_in(answer):
    return answer.status_code == 302


@pytest.fixture
def hashed(monkeypatch):
    """Every password that is compared, or hashed to take as long."""
    seen = []
    for name in ("verify", "encode"):
        real = getattr(hashers.MD5PasswordHasher, name)

        def noted(self, password, other, real=real):
            seen.append(password)
            return real(self, password, other)

        monkeypatch.setattr(hashers.MD5PasswordHasher, name, noted)
    return seen


def test_after_sixty_wrong_passwords_the_right_one_is_refused_too(tuner, hashed):
    answers = [post(tuner.username, f"guess {number}") for number in range(60)]
    assert [answer.status_code for answer in answers] == [200] * 5 + [429] * 55
    last = post(tuner.username, PASSWORD)
    assert (last.status_code, int(last.headers["Retry-After"]) in range(1, 61)) == (429, True)
    assert b"Please wait a minute" in last.content
    assert f'value="{tuner.username}"'.encode() in last.content
    assert set(hashed) == {f"guess {number}" for number in range(5)}  # the others: before hashing


def test_nobody_else_waits_for_wrong_tries_elsewhere(tuner, helper):
    for _ in range(6):
        post(tuner.username, at=FENCE)
    assert is_in(post(tuner.username, PASSWORD, at=HOME))
    assert is_in(post(helper.username, PASSWORD, at=FENCE))


def test_another_way_to_write_the_name_is_the_same_name(tuner):
    for number in range(5):
        post(tuner.username.upper() if number % 2 else tuner.username)
    assert post(tuner.username).status_code == 429


def test_one_address_tries_twenty_names_and_then_waits_whatever_the_name(tuner, hashed):
    statuses = [post(f"name {number}").status_code for number in range(ADDRESS_TRIES + 5)]
    assert statuses == [200] * ADDRESS_TRIES + [429] * 5
    assert post(tuner.username, PASSWORD).status_code == 429
    assert PASSWORD not in hashed
    assert is_in(post(tuner.username, PASSWORD, at=FENCE))


def test_an_address_that_waits_fills_no_table(db):
    for number in range(ADDRESS_TRIES + 30):
        post(f"name {number}")
    assert WrongTries.objects.count() == ADDRESS_TRIES + 1


def test_right_passwords_do_not_count_for_the_address(tuner):
    for _ in range(ADDRESS_TRIES + 1):
        assert is_in(post(tuner.username, PASSWORD))
    assert [row.wrong for row in WrongTries.objects.all()] == [0]


def test_a_browser_that_signed_in_before_has_its_own_allowance(tuner):
    """A stranger at the same address can use up everything, and not what this browser has."""
    known = Client()
    assert is_in(post(tuner.username, PASSWORD, browser=known))
    known.post(reverse("signout"))
    for number in range(ADDRESS_TRIES + 5):
        post(tuner.username)
        post(f"name {number}")
    assert post(tuner.username, PASSWORD).status_code == 429
    assert is_in(post(tuner.username, PASSWORD, browser=known))


def test_the_own_allowance_is_no_endless_one(tuner):
    known = Client()
    post(tuner.username, PASSWORD, browser=known)
    known.post(reverse("signout"))
    statuses = [post(tuner.username, browser=known).status_code for _ in range(7)]
    assert statuses == [200] * 5 + [429] * 2


def test_a_browser_is_known_to_those_who_signed_in_on_it_only(tuner, helper):
    """Or whoever has a sign-in of their own could guess at others' without end."""
    known = Client()
    post(helper.username, PASSWORD, browser=known)
    known.post(reverse("signout"))
    for _ in range(5):
        post(tuner.username, browser=known)
    assert post(tuner.username, PASSWORD, browser=Client()).status_code == 429


@pytest.mark.parametrize("change", ["invented", "altered"])
def test_only_our_own_cookie_makes_a_browser_known(tuner, change):
    known = Client()
    post(tuner.username, PASSWORD, browser=known)
    cookie = known.cookies["known"]
    assert (cookie["httponly"], cookie["samesite"]) == (True, "Lax")
    value = cookie.value if change == "altered" else "browser.name:1:signature"
    for number in range(6):
        other = Client()
        other.cookies["known"] = f"{number}{value}"
        answer = post(tuner.username, browser=other)
    assert answer.status_code == 429


def test_the_cookie_tells_nobody_who_signed_in(tuner):
    known = Client()
    post(tuner.username, PASSWORD, browser=known)
    assert tuner.username not in known.cookies["known"].value


def test_wrong_tries_are_in_the_log_without_what_was_typed(tuner, caplog):
    post(tuner.username, "s3cret-guess")
    post("my-password-in-the-wrong-field", "x")
    for _ in range(5):
        post(tuner.username)
    lines = [record.getMessage() for record in caplog.records if "sign_in" in record.name]
    assert lines == [
        f"wrong password of user {tuner.pk} from {HOME}",
        f"wrong password of a name that nobody has from {HOME}",
        *[f"wrong password of user {tuner.pk} from {HOME}"] * 4,
        f"a try to sign in from {HOME} was refused for 60 s",
    ]


def test_the_throttle_holds_without_the_cache(tuner, settings):
    settings.CACHES = {
        "default": {
            "BACKEND": "django.core.cache.backends.redis.RedisCache",
            "LOCATION": "redis://127.0.0.1:1",  # nobody answers there
        }
    }
    statuses = [post(tuner.username).status_code for _ in range(6)]
    assert statuses == [200] * 5 + [429]


def test_a_stranger_at_the_same_address_makes_nobody_wait_who_signed_in_before(tuner, helper):
    """A whole paddock may share one address."""
    known = Client()
    assert is_in(post(tuner.username, PASSWORD, browser=known))
    for number in range(ADDRESS_TRIES + 5):
        post(f"name {number}")
        post(tuner.username, f"guess {number}")
    assert post(helper.username, PASSWORD).status_code == 429  # on a browser nobody knows
    known.post(reverse("signout"))
    assert is_in(post(tuner.username, PASSWORD, browser=known))


def test_an_empty_form_is_no_try(db):
    assert post("", "").status_code == 200
    assert not WrongTries.objects.exists()
