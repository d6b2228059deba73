"""A passkey at signing in on a new browser: made for one name, asked once, never copied."""

import json
from io import StringIO

import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from jobs.people import devices, second_factor
from jobs.people.models import Passkey, RecoveryCode, SecondFactor, TrailEntry
from jobs.people.passkeys import LONGEST_ANSWER, MOST
from tests.conftest import PASSWORD

from .authenticator import Device

pytestmark = pytest.mark.django_db

SECOND = "/account/second-step/"
HOME = "/account/passkeys/"


class Https(Client):
    def generic(self, *args, **kwargs):
        return super().generic(*args, **{**kwargs, "secure": True})


def browser_of(user=None, host="testserver", secure=True):
    browser = (Https if secure else Client)(SERVER_NAME=host)
    if user:
        browser.force_login(user)
    return browser


@pytest.fixture(autouse=True)
def hosts(settings):
    settings.ALLOWED_HOSTS = ["testserver", "other.example", "192.0.2.1", "localhost", "[::1]"]


def ask_new(browser, name="my phone", password=PASSWORD):
    return browser.post(reverse("account:passkey-new"), {"name": name, "password": password})


def add(browser, device, name="my phone"):
    return browser.post(HOME, {"answer": device.made(ask_new(browser, name).json())})


@pytest.fixture
def device():
    return Device()


@pytest.fixture
def keyed(tuner, device):
    """A tuner whose only second factor is a passkey."""
    page = add(browser_of(tuner), device).content.decode()
    tuner.recovery = [line[:9] for line in page.split("<li>")[1:]]
    return tuner


def sign_in(user, browser, password=PASSWORD):
    return browser.post(
        reverse("signin"), {"username": user.username, "password": password, "next": "/desk/"}
    )


def step(browser, device):
    asked = browser.post(reverse("account:second-key"))
    return browser.post(SECOND, {"answer": device.used(asked.json())})


def is_in(browser):
    return browser.get(reverse("account:home")).status_code == 200


def test_the_first_key_shows_recovery_codes_and_a_second_one_leaves_them(tuner, device):
    browser = browser_of(tuner)
    page = add(browser, device).content.decode()
    assert (page.count("<li>"), RecoveryCode.objects.filter(user=tuner).count()) == (10, 10)
    assert "“my phone” is kept" in page
    answer = add(browser, Device(id=b"another"), "the key on the ring")
    assert answer.url == HOME
    page = browser.get(HOME).content.decode()
    assert "my phone" in page
    assert "the key on the ring" in page
    assert RecoveryCode.objects.filter(user=tuner).count() == 10
    kept = list(TrailEntry.objects.order_by("pk").values_list("event", "by"))
    assert kept == [("rights.passkey", tuner.pk)] * 2


def test_a_new_browser_asks_for_it_and_nobody_is_in_before(keyed, device):
    browser = browser_of()
    assert sign_in(keyed, browser).url == SECOND
    assert "Use your passkey" in browser.get(SECOND).content.decode()
    assert not is_in(browser)
    assert step(browser, device).url == "/desk/"
    assert is_in(browser)
    browser.post(reverse("signout"))
    assert sign_in(keyed, browser).url == "/desk/"
    assert Passkey.objects.get().used_at


def test_a_browser_asks_again_once_the_key_it_used_is_removed(keyed, device):
    owner, other = browser_of(keyed), browser_of()
    add(owner, Device(id=b"stays"), "stays")
    sign_in(keyed, other)
    step(other, device)
    other.post(reverse("signout"))
    address = reverse("account:passkey-remove", args=[Passkey.objects.get(name="my phone").pk])
    assert "not your password" in owner.post(address, {"password": "x"}).content.decode()
    assert Passkey.objects.count() == 2
    owner.post(address, {"password": PASSWORD})
    assert Passkey.objects.get().name == "stays"
    assert sign_in(keyed, other).url == SECOND
    assert "removed already" in owner.post(address, {"password": PASSWORD}, follow=True).text


def test_with_the_last_key_goes_the_second_factor(keyed):
    owner = browser_of(keyed)
    address = reverse("account:passkey-remove", args=[Passkey.objects.get().pk])
    owner.post(address, {"password": PASSWORD})
    assert not RecoveryCode.objects.exists()
    assert sign_in(keyed, browser_of()).url == "/desk/"
    assert TrailEntry.objects.order_by("pk").last().event == "rights.passkey-off"


def test_the_codes_of_an_app_and_passkeys_stand_beside_each_other(keyed, device):
    SecondFactor.objects.create(user=keyed, secret="A" * 16, confirmed_at="2026-06-13T12:00Z")
    second_factor.factor_switch_off(user=keyed)
    assert RecoveryCode.objects.count() == 10  # the key is still asked for
    browser = browser_of()
    assert sign_in(keyed, browser).url == SECOND


def test_nobody_elses_key_is_removed(keyed, office):
    browser_of(office).post(
        reverse("account:passkey-remove", args=[Passkey.objects.get().pk]), {"password": PASSWORD}
    )
    assert Passkey.objects.count() == 1


def test_a_recovery_code_stands_in_for_the_key(keyed):
    browser = browser_of()
    sign_in(keyed, browser)
    assert browser.post(SECOND, {"code": keyed.recovery[2]}).url == "/desk/"
    assert is_in(browser)


def test_an_answer_works_once_and_for_its_own_browser(keyed, device):
    first, other = browser_of(), browser_of()
    sign_in(keyed, first)
    sign_in(keyed, other)
    answer = device.used(first.post(reverse("account:second-key")).json())
    other.post(reverse("account:second-key"))
    assert "not accepted" in other.post(SECOND, {"answer": answer}).text
    assert first.post(SECOND, {"answer": answer}).url == "/desk/"
    first.post(reverse("signout"))
    third = browser_of()
    sign_in(keyed, third)
    assert "too long ago" in third.post(SECOND, {"answer": answer}).text
    assert not is_in(other)
    assert not is_in(third)


@pytest.mark.parametrize(
    "wrong",
    [
        Device(origin="https://testserver.example"),
        Device(origin="http://testserver"),
        Device(),  # the same id, another private key
        Device(id=b"nobody's"),
    ],
    ids=["another origin", "not https", "another private key", "an unknown key"],
)
def test_what_another_page_or_device_signed_lets_nobody_in(keyed, wrong, device):
    wrong.private = device.private if wrong.origin != device.origin else wrong.private
    browser = browser_of()
    sign_in(keyed, browser)
    assert "That key was not accepted" in step(browser, wrong).text
    assert not is_in(browser)


def test_a_key_that_counts_must_count_on(keyed, device):
    for counter, led in [(5, True), (5, False), (4, False), (6, True), (0, False)]:
        device.counter = counter
        browser = browser_of()
        sign_in(keyed, browser)
        step(browser, device)
        assert is_in(browser) is led, counter


@pytest.mark.parametrize(
    "answer",
    ["{", "[]", "7", "null", "{}", '{"id": 1}', "x" * (LONGEST_ANSWER + 1), "[" * 9000,
     '{"rawId": "AAAA", "id": "AAAA", "type": "public-key", "response": {}}'],
)  # fmt: skip
def test_an_answer_that_is_none_is_refused_in_words(keyed, device, answer):
    browser = browser_of()
    sign_in(keyed, browser)
    browser.post(reverse("account:second-key"))
    assert "That key was not accepted" in browser.post(SECOND, {"answer": answer}).text
    assert not is_in(browser)
    owner = browser_of(keyed)
    ask_new(owner, "other")
    assert "That key was not accepted" in owner.post(HOME, {"answer": answer}).text
    assert Passkey.objects.count() == 1


def test_every_byte_of_an_answer_counts(keyed, device):
    """One letter of any part changed: nobody is in, and nothing fails."""
    browser = browser_of()
    sign_in(keyed, browser)
    for part in ("clientDataJSON", "authenticatorData", "signature"):
        for at in range(0, 40, 4):
            answer = json.loads(device.used(browser.post(reverse("account:second-key")).json()))
            kept = answer["response"][part]
            other = "A" if kept[at] != "A" else "B"
            answer["response"][part] = kept[:at] + other + kept[at + 1 :]
            page = browser.post(SECOND, {"answer": json.dumps(answer)})
            assert page.status_code == 200, (part, at)
    assert not is_in(browser)


def test_a_key_is_not_kept_twice(keyed, device):
    page = add(browser_of(keyed), device, "again")
    assert "kept already" in page.text
    assert Passkey.objects.count() == 1


@pytest.mark.parametrize(
    ("name", "password", "words"),
    [
        ("", PASSWORD, "Give the key a name"),
        ("x" * 61, PASSWORD, "at most 60"),
        ("phone", "wrong", "not your password"),
    ],
)
def test_what_is_missing_is_named_before_the_device_is_asked(tuner, name, password, words):
    answer = ask_new(browser_of(tuner), name, password)
    assert answer.status_code == 409
    assert words in answer.json()["error"]


def test_somebody_has_ten_keys_at_most(keyed):
    owner = browser_of(keyed)
    for number in range(1, MOST):
        add(owner, Device(id=f"key {number}".encode()), f"key {number}")
    assert Passkey.objects.count() == MOST
    assert "ten keys already" in ask_new(owner, "one more").json()["error"]


@pytest.mark.parametrize(
    ("host", "secure", "offered"),
    [
        ("testserver", True, True),
        ("localhost", False, True),
        ("testserver", False, False),
        ("192.0.2.1", True, False),
        ("[::1]", True, False),
    ],
)
def test_they_are_offered_where_the_address_is_a_name(tuner, host, secure, offered):
    browser = browser_of(tuner, host, secure)
    page = browser.get(HOME).content.decode()
    assert ('data-passkey="create"' in page) is offered
    assert ("address that is a name" in page) is not offered
    assert (ask_new(browser).status_code == 200) is offered


def test_at_another_name_a_key_is_not_asked_and_the_page_says_so(keyed):
    browser = browser_of(host="other.example")
    assert sign_in(keyed, browser).url == SECOND
    assert "belong to another address" in browser.get(SECOND).text
    assert "no passkey for this address" in browser.post(reverse("account:second-key")).text
    assert browser.post(SECOND, {"code": keyed.recovery[0]}).url == "/desk/"


def test_who_gave_no_password_is_asked_nothing(keyed, device):
    browser = browser_of()
    assert browser.post(reverse("account:second-key")).status_code == 409
    assert browser.post(SECOND, {"answer": "{}"}).url == reverse("signin")


def test_a_tablets_pin_asks_for_no_key(keyed, stranger):
    devices.pin_set(user=keyed, pin="4711")
    _, code = devices.device_prepare(name="yellow", by=keyed)
    tablet, secret = devices.device_enrol(code=code, where_from="tests")
    stranger.cookies["tablet"] = f"{tablet.pk}.{secret}"
    answer = stranger.post(reverse("tablet:pin"), {"user": keyed.pk, "pin": "4711"})
    assert answer.json()["username"] == keyed.username


def test_the_server_switches_them_off_for_who_lost_everything(keyed):
    call_command("signin_link", keyed.username, "--without-second-factor", stdout=StringIO())
    assert not Passkey.objects.exists()
    assert not RecoveryCode.objects.exists()
    assert sign_in(keyed, browser_of()).url == "/desk/"


def test_one_who_has_no_password_sets_one_first(tuner):
    tuner.set_unusable_password()
    tuner.save()
    assert "needs a password first" in browser_of(tuner).get(HOME, follow=True).text
