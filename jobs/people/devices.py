"""Tablets the business knows, and the people who use them by name and PIN.

A tuner prepares a device and reads its code out; the tablet on which the code is typed in
time becomes that device. From then on the tablet proves itself by a secret it keeps in
a cookie. A person who gave name and PIN there gets a pass: proof, for that device and
for one day, of who did an act, also when the act is sent long after.
"""

import hashlib
import hmac
import logging
import secrets
import uuid
from datetime import UTC, datetime, timedelta

from django.contrib.auth.hashers import check_password, make_password
from django.core import signing
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import QuerySet
from django.utils.crypto import salted_hmac
from django.utils.translation import gettext as _

from . import throttle
from .codes import code_digest, code_make
from .enums import CREW, TrailEvent
from .models import Device, User
from .one_hash import TooManyHashes
from .trail import trail_note

log = logging.getLogger(__name__)

CODE_LIFETIME = timedelta(minutes=15)
PASS_LIFETIME = timedelta(hours=20)
SALT = "people.devices.pass"
PIN_DIGITS = range(4, 9)
EASY_PINS = frozenset("0123456789"[i:j] for i in range(10) for j in range(i + 4, 11))


def device_prepare(*, name: str, by: User) -> tuple[Device, str]:
    """A device waiting for its tablet, and the code to type there within 15 minutes."""
    code = code_make()
    device = Device.objects.create(
        name=name,
        enrolled_by=by,
        code_hash=_code_hash(code),
        code_until=datetime.now(UTC) + CODE_LIFETIME,
    )
    return device, code


@transaction.atomic
def device_enrol(*, code: str, where_from: str) -> tuple[Device, str]:
    """The device of that code, and the secret its tablet is to keep. A code works once.

    Raises ValidationError in words. Wrong codes make nobody wait: a stranger could keep a whole
    paddock waiting, which often shares one address, and no code is found by trying in the time.
    """
    device = (
        Device.objects.select_for_update(no_key=True)
        .filter(code_hash=_code_hash(code), code_until__gt=datetime.now(UTC), shut_out_at=None)
        .first()
    )
    if device is None:
        log.warning("wrong code for a tablet from %s", where_from or "an unknown address")
        raise ValidationError(_("This code is wrong, used, or older than 15 minutes."))
    secret = secrets.token_urlsafe(32)
    device.secret_hash = _secret_hash(secret)
    device.code_hash, device.code_until = "", None
    device.last_seen_at = datetime.now(UTC)
    device.save(update_fields=["secret_hash", "code_hash", "code_until", "last_seen_at"])
    trail_note(TrailEvent.DEVICE_ENROLLED, by=device.enrolled_by, ref=device.pk)
    return device, secret


def device_of(*, cookie: str) -> Device | None:
    """The device whose cookie this is, a shut-out one too: the caller tells it so."""
    device_id, _dot, secret = cookie.partition(".")
    try:
        device = Device.objects.filter(pk=uuid.UUID(device_id)).first()
    except ValueError:
        return None
    if device and hmac.compare_digest(device.secret_hash, _secret_hash(secret)):
        return device
    return None


def device_seen(*, device: Device) -> None:
    """Keep when the tablet was last seen, at most once a minute."""
    now = datetime.now(UTC)
    if device.last_seen_at is None or now - device.last_seen_at > timedelta(minutes=1):
        Device.objects.filter(pk=device.pk).update(last_seen_at=now)


def pin_set(*, user: User, pin: str, by: User | None = None) -> None:
    """Set the PIN a person signs in with on a tablet; ``by`` is the person, if not given.

    Raises ValidationError in words.
    """
    if not (pin.isascii() and pin.isdecimal() and len(pin) in PIN_DIGITS):
        raise ValidationError(_("A PIN has 4 to 8 digits."))
    if pin in EASY_PINS or pin[::-1] in EASY_PINS or len(set(pin)) == 1:
        raise ValidationError(_("This PIN is too easy to guess."))
    user.pin_hash = make_password(pin)
    with transaction.atomic():
        user.save(update_fields=["pin_hash"])
        trail_note(TrailEvent.PIN_SET, by=by or user, ref=user.pk)


def pin_check(*, user: User, pin: str, device: Device) -> None:
    """Raises ValidationError in words unless this is the PIN of an active crew member.

    Wrong PINs count for the person on this device: after five they wait on it, and nowhere else.
    """
    mark = f"{device.pk}:{user.pk}"
    throttle.take("pin", mark)
    known = user.is_active and user.role in CREW and bool(user.pin_hash)
    try:
        right = known and check_password(pin, user.pin_hash)
    except TooManyHashes:
        throttle.give_back("pin", mark)
        raise
    if not right:
        log.warning("wrong PIN of user %s on device %s", user.pk, device.pk)
        raise ValidationError(_("That PIN is not right."))
    throttle.passed("pin", mark)


def pass_make(*, user: User, device: Device) -> str:
    """Proof that this person signed in on this device: for acts sent later."""
    return signing.dumps([user.pk, str(device.pk), _pin_digest(user)], salt=SALT)


def pass_user(*, token: str, device: Device) -> User | None:
    """Whose pass it is. None: run out, of another device, or the PIN was changed since."""
    try:
        user_id, device_id, mark = signing.loads(token, salt=SALT, max_age=PASS_LIFETIME)
    except (signing.BadSignature, ValueError):
        return None
    user = User.objects.filter(pk=user_id, is_active=True).first()
    if user is None or device_id != str(device.pk) or mark != _pin_digest(user):
        return None
    return user


def _pin_digest(user: User) -> str:
    return salted_hmac(SALT, user.pin_hash).hexdigest()[:12]


def _secret_hash(secret: str) -> str:
    """A long random secret needs no slow hash."""
    return hashlib.sha256(secret.encode()).hexdigest()


def _code_hash(code: str) -> str:
    return code_digest(code, purpose="device")


def crew() -> QuerySet[User]:
    """Everybody who may work on a tablet, by name."""
    return User.objects.filter(is_active=True, role__in=CREW).order_by("first_name", "username")


def crew_with_pin() -> QuerySet[User]:
    return crew().exclude(pin_hash="")
