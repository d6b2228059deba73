"""Passwords are hashed one at a time, and whoever waits too long is asked to try again."""

import threading

import pytest
from django.contrib.auth.hashers import Argon2PasswordHasher, check_password, make_password
from django.test import Client
from django.urls import reverse

from jobs.people import devices, one_hash
from jobs.people.models import WrongTries
from tests.conftest import PASSWORD

ARGON = ["jobs.people.one_hash.OneArgon2AtATime"]


@pytest.fixture
def argon(settings):
    settings.PASSWORD_HASHERS = ARGON


@pytest.fixture
def somebody_hashes(monkeypatch):
    """Another thread has the turn for as long as the test lasts."""
    monkeypatch.setattr(one_hash, "LONGEST_WAIT_S", 0.01)
    has_it, may_end = threading.Event(), threading.Event()

    def hold():
        with one_hash.turn():
            has_it.set()
            may_end.wait(timeout=30)

    other = threading.Thread(target=hold)
    other.start()
    assert has_it.wait(timeout=30)
    yield
    may_end.set()
    other.join()


def test_the_product_hashes_so():
    from paddock.settings import PASSWORD_HASHERS

    assert PASSWORD_HASHERS == ARGON


def test_hashes_are_those_of_argon2_as_before(argon):
    assert make_password("gravel").startswith("argon2$argon2id$")
    before = Argon2PasswordHasher().encode("gravel", "a-salt-of-before")
    assert check_password("gravel", before)
    assert not check_password("grovel", before)


@pytest.mark.parametrize("method", ["encode", "verify"])
def test_of_eight_threads_one_hashes_at_a_time(monkeypatch, method):
    monkeypatch.setattr(one_hash, "LONGEST_WAIT_S", 30)
    inside, most, lock = [0], [0], threading.Lock()

    def slow(self, *args):
        with lock:
            inside[0] += 1
            most[0] = max(most[0], inside[0])
        threading.Event().wait(0.01)
        with lock:
            inside[0] -= 1
        return "hash"

    monkeypatch.setattr(Argon2PasswordHasher, method, slow)
    hasher = one_hash.OneArgon2AtATime()
    threads = [threading.Thread(target=getattr(hasher, method), args=("a", "b")) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert most == [1]


def test_whoever_waits_too_long_is_told(somebody_hashes, argon):
    with pytest.raises(one_hash.TooManyHashes):
        make_password("gravel")


def test_the_wait_is_two_seconds():
    assert one_hash.LONGEST_WAIT_S == 2


@pytest.mark.django_db
def test_signing_in_is_asked_to_try_again_and_the_try_does_not_count(
    argon, tuner, somebody_hashes, stranger
):
    form = {"username": tuner.username, "password": PASSWORD}
    answer = stranger.post(reverse("signin"), form)
    assert (answer.status_code, answer.headers["Retry-After"]) == (503, "5")
    assert b"go back and try again" in answer.content
    assert [row.wrong for row in WrongTries.objects.all()] == [0, 0]


@pytest.mark.django_db
def test_a_tablet_is_told_in_words_it_shows(argon, cast, somebody_hashes, stranger):
    cast.helper.pin_hash = Argon2PasswordHasher().encode("4711", "a-salt-of-before")
    cast.helper.save()
    _, code = devices.device_prepare(name="yellow", by=cast.tuner)
    device, secret = devices.device_enrol(code=code, where_from="tests")
    stranger.cookies["tablet"] = f"{device.pk}.{secret}"
    form = {"user": cast.helper.pk, "pin": "4711"}
    answer = stranger.post(reverse("tablet:pin"), form, headers={"Accept": "application/json"})
    assert (answer.status_code, answer.headers["Retry-After"]) == (503, "5")
    assert "try again" in answer.json()["error"]
    assert [row.wrong for row in WrongTries.objects.all()] == [0]


def test_a_try_takes_one_hash_whether_there_is_such_a_person_or_not(argon, cast, monkeypatch):
    """An answer that came sooner would tell which names are here."""
    cast.tuner.set_password("gravel-trap-7")
    cast.tuner.save()
    cast.customer_b.set_unusable_password()
    cast.customer_b.save()
    turns = []
    real = one_hash.turn
    monkeypatch.setattr(one_hash, "turn", lambda: turns.append(1) or real())
    costs = {}
    for number, name in enumerate(("tuner", "nobody", "customer-b")):
        turns.clear()
        form = {"username": name, "password": "wrong"}
        Client().post(reverse("signin"), form, REMOTE_ADDR=f"192.0.2.{number}")
        costs[name] = len(turns)
    assert costs == {"tuner": 1, "nobody": 1, "customer-b": 1}
