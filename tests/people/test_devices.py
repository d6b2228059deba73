"""Tablets: enrolled by a code that works once, people by PIN, passes that prove who did it."""

from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from django.core.exceptions import ValidationError

from jobs.people import devices
from jobs.people.codes import LETTERS
from jobs.people.models import Device

pytestmark = pytest.mark.django_db
NOON = datetime(2026, 6, 13, 12, tzinfo=UTC)


@pytest.fixture
def device(cast) -> Device:
    _, code = devices.device_prepare(name="yellow", by=cast.tuner)
    return devices.device_enrol(code=code, where_from="van")[0]


def test_a_code_makes_a_device_once(cast):
    prepared, code = devices.device_prepare(name="yellow", by=cast.tuner)
    device, secret = devices.device_enrol(code=code, where_from="van")
    assert device == prepared
    assert devices.device_of(cookie=f"{device.pk}.{secret}") == device
    assert secret not in device.secret_hash
    with pytest.raises(ValidationError, match="wrong, used, or older"):
        devices.device_enrol(code=code, where_from="van")


def test_a_code_is_good_for_fifteen_minutes(cast):
    with time_machine.travel(NOON, tick=False):
        _, code = devices.device_prepare(name="yellow", by=cast.tuner)
    with (
        time_machine.travel(NOON + timedelta(minutes=15, seconds=1), tick=False),
        pytest.raises(ValidationError, match="15 minutes"),
    ):
        devices.device_enrol(code=code, where_from="van")


@pytest.mark.parametrize("cookie", ["", "nonsense", "00000000-0000-0000-0000-000000000000.x"])
def test_any_other_cookie_is_no_device(cookie):
    assert devices.device_of(cookie=cookie) is None


def test_a_wrong_secret_is_no_device(device):
    assert devices.device_of(cookie=f"{device.pk}.wrong") is None


def test_wrong_codes_make_nobody_wait_and_the_code_is_too_long_to_be_found(cast):
    """A stranger behind the paddock's own address must not keep its tablets out."""
    for _ in range(60):
        with pytest.raises(ValidationError, match="wrong, used"):
            devices.device_enrol(code="AAAA-AAA9", where_from="192.0.2.7")
    _, code = devices.device_prepare(name="yellow", by=cast.tuner)
    letters = code.replace("-", "")
    assert len(letters) == 8
    assert set(letters) <= set(LETTERS)
    assert len(LETTERS) ** 8 > 8e11
    devices.device_enrol(code=code.lower().replace("-", " "), where_from="192.0.2.7")


@pytest.mark.parametrize(
    ("pin", "why"),
    [
        ("123", "4 to 8 digits"),
        ("abcd", "4 to 8 digits"),
        ("123456789", "4 to 8 digits"),
        ("٣٤٥٨", "4 to 8 digits"),
        ("7777", "easy"),
        ("2345", "easy"),
        ("8765", "easy"),
    ],
)
def test_a_pin_that_is_none_is_refused(helper, pin, why):
    with pytest.raises(ValidationError, match=why):
        devices.pin_set(user=helper, pin=pin)


def test_a_pin_is_hashed_and_accepted(device, helper):
    devices.pin_set(user=helper, pin="4711")
    assert "4711" not in helper.pin_hash
    devices.pin_check(user=helper, pin="4711", device=device)


def test_guessing_a_pin_waits_longer_each_time(device, helper):
    devices.pin_set(user=helper, pin="4711")
    with time_machine.travel(NOON, tick=False) as clock:
        for wait in ("a minute", "4 minutes", "16 minutes", "60 minutes"):
            for _ in range(5):
                with pytest.raises(ValidationError, match="not right"):
                    devices.pin_check(user=helper, pin="0815", device=device)
            with pytest.raises(ValidationError, match=wait):
                devices.pin_check(user=helper, pin="4711", device=device)
            clock.shift(timedelta(hours=1, seconds=1))
        devices.pin_check(user=helper, pin="4711", device=device)


def test_guessing_makes_a_person_wait_on_that_device_only(device, cast, helper):
    devices.pin_set(user=helper, pin="4711")
    devices.pin_set(user=cast.tuner, pin="1174")
    for _ in range(5):
        with pytest.raises(ValidationError, match="not right"):
            devices.pin_check(user=helper, pin="0815", device=device)
    with pytest.raises(ValidationError, match="Please wait"):
        devices.pin_check(user=helper, pin="4711", device=device)
    devices.pin_check(user=cast.tuner, pin="1174", device=device)
    other = Device.objects.create(name="blue", enrolled_by=cast.tuner)
    devices.pin_check(user=helper, pin="4711", device=other)


@pytest.mark.parametrize("who", ["office", "customer_a"])
def test_only_crew_signs_in_by_pin(device, cast, who):
    user = getattr(cast, who)
    devices.pin_set(user=user, pin="4711")
    with pytest.raises(ValidationError, match="not right"):
        devices.pin_check(user=user, pin="4711", device=device)


def test_a_pass_proves_who_on_which_device_for_a_day(device, cast):
    devices.pin_set(user=cast.helper, pin="4711")
    with time_machine.travel(NOON, tick=False) as clock:
        token = devices.pass_make(user=cast.helper, device=device)
        assert devices.pass_user(token=token, device=device) == cast.helper
        other = Device.objects.create(name="blue", enrolled_by=cast.tuner)
        assert devices.pass_user(token=token, device=other) is None
        assert devices.pass_user(token=token.swapcase(), device=device) is None
        clock.shift(devices.PASS_LIFETIME + timedelta(seconds=1))
        assert devices.pass_user(token=token, device=device) is None


def test_a_new_pin_or_a_person_gone_ends_the_pass(device, cast):
    devices.pin_set(user=cast.helper, pin="4711")
    token = devices.pass_make(user=cast.helper, device=device)
    devices.pin_set(user=cast.helper, pin="4712")
    assert devices.pass_user(token=token, device=device) is None
    token = devices.pass_make(user=cast.helper, device=device)
    cast.helper.is_active = False
    cast.helper.save()
    assert devices.pass_user(token=token, device=device) is None
