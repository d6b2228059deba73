"""A code from the phone at signing in on a new browser, and what stands in for the phone."""

from datetime import UTC, datetime, timedelta
from io import StringIO

import pyotp
import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from jobs.people import devices, second_factor
from jobs.people.models import Edit, RecoveryCode, SecondFactor
from tests.conftest import PASSWORD

pytestmark = pytest.mark.django_db

NOON = datetime(2026, 6, 13, 12, tzinfo=UTC)
SECOND = "/account/second-step/"


@pytest.fixture
def clock():
    with time_machine.travel(NOON, tick=False) as travel:
        yield travel


def app_code(user, steps=0):
    factor = SecondFactor.objects.get(user=user)
    return pyotp.TOTP(factor.secret).at(datetime.now(UTC) + timedelta(seconds=30 * steps))


@pytest.fixture
def protected(tuner, clock):
    """A tuner with a second factor, switched on an hour ago."""
    second_factor.factor_prepare(user=tuner)
    tuner.recovery = second_factor.factor_confirm(user=tuner, code=app_code(tuner))
    clock.shift(timedelta(hours=1))
    return tuner


def sign_in(user, browser, password=PASSWORD, **more):
    form = {"username": user.username, "password": password, **more}
    return browser.post(reverse("signin"), form)


def is_in(browser):
    return browser.get(reverse("account:home")).status_code == 200


# RFC 6238, appendix B: time and code of the secret 12345678901234567890 with SHA-1. The table
# prints eight digits; six are the last six of them (RFC 4226, section 5.3: modulo 10^Digits).
@pytest.mark.parametrize(
    ("time", "printed"),
    [
        (59, "94287082"),
        (1111111109, "07081804"),
        (1111111111, "14050471"),
        (1234567890, "89005924"),
        (2000000000, "69279037"),
        (20000000000, "65353130"),
    ],
)
def test_the_codes_are_those_of_the_standard(tuner, time, printed):
    secret = "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ"  # base32 of the RFC's secret
    SecondFactor.objects.create(user=tuner, secret=secret)
    with time_machine.travel(datetime.fromtimestamp(time, UTC), tick=False):
        with pytest.raises(ValidationError):
            second_factor.factor_confirm(user=tuner, code=printed[-5:] + "x")
        assert second_factor.factor_confirm(user=tuner, code=printed[-6:])


def test_it_is_switched_on_with_the_phone_and_recovery_codes_are_shown_once(signed_in, tuner):
    browser = signed_in(tuner)
    address = reverse("account:second-factor")
    page = browser.get(address).content.decode()
    secret = SecondFactor.objects.get(user=tuner).secret
    assert secret in page
    assert "<svg" in page
    assert secret in browser.get(address).content.decode()  # a page loaded again keeps the secret
    assert "not the code" in browser.post(address, {"code": "000 000"}).content.decode()
    assert second_factor.factor_of(tuner) is None
    page = browser.post(address, {"code": app_code(tuner)}).content.decode()
    codes = second_factor.RecoveryCode.objects.filter(user=tuner)
    assert (page.count("<li>"), codes.count()) == (10, 10)
    page = browser.get(address).content.decode()
    assert "Ask for no codes any more" in page
    assert secret not in page
    assert "<li>" not in page
    assert Edit.objects.get(what="second factor").by == tuner


def test_a_new_browser_is_asked_and_nobody_is_in_before(protected):
    browser = Client()
    answer = sign_in(protected, browser)
    assert (answer.status_code, answer.url) == (302, SECOND)
    assert not is_in(browser)
    page = browser.post(SECOND, {"code": "123"})
    assert b"That is not the code." in page.content
    assert not is_in(browser)
    assert browser.post(SECOND, {"code": app_code(protected)}).url == reverse("home")
    assert is_in(browser)


def test_a_browser_that_gave_a_code_is_not_asked_again(protected):
    browser = Client()
    sign_in(protected, browser)
    browser.post(SECOND, {"code": app_code(protected)})
    browser.post(reverse("signout"))
    assert sign_in(protected, browser).url == reverse("home")
    assert is_in(browser)


def test_a_browser_known_by_its_password_only_is_asked(tuner, clock):
    browser = Client()
    sign_in(tuner, browser)
    browser.post(reverse("signout"))
    second_factor.factor_prepare(user=tuner)
    second_factor.factor_confirm(user=tuner, code=app_code(tuner))
    assert sign_in(tuner, browser).url == SECOND


def test_a_code_given_for_an_earlier_second_factor_does_not_count(protected):
    browser = Client()
    sign_in(protected, browser)
    browser.post(SECOND, {"code": app_code(protected)})
    browser.post(reverse("signout"))
    second_factor.factor_switch_off(user=protected)
    SecondFactor.objects.create(user=protected, secret=pyotp.random_base32(), pk=4711)
    second_factor.factor_confirm(user=protected, code=app_code(protected))
    assert sign_in(protected, browser).url == SECOND


def test_a_code_works_once(protected):
    code = app_code(protected)
    first, other = Client(), Client()
    sign_in(protected, first)
    sign_in(protected, other)
    first.post(SECOND, {"code": code})
    assert b"not the code" in other.post(SECOND, {"code": code}).content
    assert not is_in(other)


@pytest.mark.parametrize(("steps", "accepted"), [(-2, False), (-1, True), (1, True), (2, False)])
def test_a_clock_may_be_half_a_minute_wrong(protected, steps, accepted):
    browser = Client()
    sign_in(protected, browser)
    browser.post(SECOND, {"code": app_code(protected, steps)})
    assert is_in(browser) is accepted


def test_a_recovery_code_works_once(protected):
    first, other = Client(), Client()
    sign_in(protected, first)
    sign_in(protected, other)
    code = protected.recovery[3]
    first.post(SECOND, {"code": code.lower().replace("-", " ")})
    assert is_in(first)
    other.post(SECOND, {"code": code})
    assert not is_in(other)
    assert RecoveryCode.objects.filter(user=protected).count() == 9


def test_recovery_codes_are_kept_as_hashes_and_are_nobody_elses(protected, office):
    kept = RecoveryCode.objects.values_list("code_hash", flat=True)
    assert set(kept).isdisjoint(protected.recovery)
    SecondFactor.objects.create(user=office, secret=pyotp.random_base32(), confirmed_at=NOON)
    with pytest.raises(ValidationError, match="not the code"):
        second_factor.code_check(user=office, code=protected.recovery[0])


def test_codes_cannot_be_guessed(protected):
    browser = Client()
    sign_in(protected, browser)
    for _ in range(5):
        browser.post(SECOND, {"code": "x"})
    page = browser.post(SECOND, {"code": app_code(protected)})
    assert b"Please wait a minute" in page.content
    assert not is_in(browser)


def test_the_step_ends_after_ten_minutes_and_with_a_new_password(protected, clock):
    browser = Client()
    sign_in(protected, browser)
    clock.shift(timedelta(minutes=10, seconds=1))
    assert browser.post(SECOND, {"code": app_code(protected)}).url == reverse("signin")
    sign_in(protected, browser)
    protected.set_password("another-one-7")
    protected.save()
    assert browser.post(SECOND, {"code": app_code(protected)}).url == reverse("signin")
    assert not is_in(browser)


def test_without_the_password_there_is_no_second_step(protected, stranger):
    assert stranger.get(SECOND).url == reverse("signin")
    sign_in(protected, stranger, "wrong")
    assert stranger.post(SECOND, {"code": app_code(protected)}).url == reverse("signin")
    assert not is_in(stranger)


@pytest.mark.parametrize(
    ("wanted", "led"), [("/desk/", "/desk/"), ("https://elsewhere.example/", "/")]
)
def test_it_leads_to_the_page_that_was_asked_for(protected, wanted, led):
    browser = Client()
    sign_in(protected, browser, next=wanted)
    assert browser.post(SECOND, {"code": app_code(protected)}).url == led


def test_a_tablets_pin_asks_for_no_code(protected, stranger):
    devices.pin_set(user=protected, pin="4711")
    _, code = devices.device_prepare(name="yellow", by=protected)
    device, secret = devices.device_enrol(code=code, where_from="tests")
    stranger.cookies["tablet"] = f"{device.pk}.{secret}"
    answer = stranger.post(reverse("tablet:pin"), {"user": protected.pk, "pin": "4711"})
    assert answer.json()["username"] == protected.username


def test_it_is_switched_off_with_the_password(protected, signed_in):
    browser = signed_in(protected)
    address = reverse("account:second-factor-off")
    assert b"not your password" in browser.post(address, {"password": "wrong"}).content
    assert second_factor.factor_of(protected)
    assert browser.post(address, {"password": PASSWORD}).url == reverse("account:home")
    assert not SecondFactor.objects.exists()
    assert not RecoveryCode.objects.exists()
    assert Edit.objects.filter(what="second factor", verb="removed").count() == 1
    assert sign_in(protected, Client()).url == reverse("home")


def test_the_server_switches_it_off_for_who_lost_everything(protected):
    out = StringIO()
    call_command("signin_link", protected.username, stdout=out)
    assert second_factor.factor_of(protected)
    call_command("signin_link", protected.username, "--without-second-factor", stdout=out)
    assert f"The second factor of {protected.username} is switched off." in out.getvalue()
    assert second_factor.factor_of(protected) is None
    assert Edit.objects.get(what="second factor").title == f"{protected.username}, on the server"


@pytest.mark.parametrize(
    ("role", "offered"), [("tuner", True), ("office", True), ("helper", False)]
)
def test_it_is_offered_to_tuner_and_office(cast, signed_in, role, offered):
    browser = signed_in(getattr(cast, role))
    address = reverse("account:second-factor")
    assert (address.encode() in browser.get(reverse("account:home")).content) is offered
    assert browser.get(address).status_code == (200 if offered else 403)


def test_one_who_has_no_password_sets_one_first(tuner, signed_in):
    tuner.set_unusable_password()
    tuner.save()
    page = signed_in(tuner).get(reverse("account:second-factor"), follow=True)
    assert b"needs a password first" in page.content
    assert not SecondFactor.objects.exists()
