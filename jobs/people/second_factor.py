"""A second factor at signing in: a code of six digits from an app on one's phone (RFC 6238),
or a passkey (``passkeys.py``). Either is enough.

Asked on a browser that has not given one before, never at a tablet's PIN. The app's codes are
computed by pyotp. Recovery codes, shown once and kept as hashes, stand in for a lost phone or
key; ``manage.py signin_link --without-second-factor`` for whoever lost both.
"""

import hmac
import logging
from datetime import UTC, datetime

import pyotp
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from . import throttle
from .codes import code_digest, code_make
from .models import Passkey, RecoveryCode, SecondFactor, User

log = logging.getLogger(__name__)

CODES = 10
STEPS_EITHER_WAY = 1  # a clock may be half a minute wrong (RFC 6238, section 5.2)
STEP_S = 30
PURPOSE = "second factor"


def factor_of(user: User) -> SecondFactor | None:
    """The second factor that is switched on."""
    return SecondFactor.objects.filter(user=user, confirmed_at__isnull=False).first()


def marks_of(user: User) -> list[str]:
    """What a browser remembers on which a second factor was given, for each that is switched on.
    Empty: none is, and the password is enough."""
    factor = factor_of(user)
    app = [factor.mark] if factor else []
    return [*app, *(key.mark for key in Passkey.objects.filter(user=user).order_by("pk"))]


def factor_prepare(*, user: User) -> SecondFactor:
    """A secret to be kept by the phone; asked for at signing in only once it is confirmed.

    Raises ValidationError where one is switched on.
    """
    factor, _is_new = SecondFactor.objects.get_or_create(
        user=user, defaults={"secret": pyotp.random_base32()}
    )
    if factor.confirmed_at is not None:
        raise ValidationError(_("A second factor is switched on already."))
    return factor


def address_for_app(factor: SecondFactor, *, business: str) -> str:
    """What the QR code holds."""
    totp = pyotp.TOTP(factor.secret)
    return totp.provisioning_uri(name=factor.user.username, issuer_name=business)


def factor_confirm(*, user: User, code: str) -> list[str]:
    """Switch it on with the first code of the phone. Returns the recovery codes, shown once;
    none where the person has some.

    Raises ValidationError in words.
    """
    factor = factor_prepare(user=user)
    throttle.take(PURPOSE, str(user.pk))
    with transaction.atomic():
        if not _used(factor, code):
            raise ValidationError(_("That is not the code the app shows now."))
        SecondFactor.objects.filter(pk=factor.pk).update(confirmed_at=datetime.now(UTC))
        codes = recovery_codes_make(user)
    throttle.passed(PURPOSE, str(user.pk))
    return codes


def recovery_codes_make(user: User) -> list[str]:
    """Ten new codes for whoever has none; else none, and those there are stay."""
    if RecoveryCode.objects.filter(user=user).exists():
        return []
    codes = [code_make() for _number in range(CODES)]
    RecoveryCode.objects.bulk_create(
        RecoveryCode(user=user, code_hash=_recovery_hash(user, one)) for one in codes
    )
    return codes


def code_check(*, user: User, code: str) -> None:
    """Raises ValidationError in words unless it is the app's code, or a recovery code.

    Either works once. Only who knows the password gets here, so the wait is the person's.
    """
    throttle.take(PURPOSE, str(user.pk))
    factor = factor_of(user)
    if not ((factor and _used(factor, code)) or _recovery_used(user, code)):
        log.warning("wrong second factor of user %s", user.pk)
        raise ValidationError(_("That is not the code."))
    throttle.passed(PURPOSE, str(user.pk))


def factor_switch_off(*, user: User) -> bool:
    """Ask for no code of the app any more. Whether there was one."""
    was_on = bool(SecondFactor.objects.filter(user=user).delete()[0])
    recovery_codes_drop(user)
    return was_on


def passkey_forget(*, user: User, pk: int) -> bool:
    """Remove one of this person's passkeys. False: it is not theirs, or was removed already."""
    was_there = bool(Passkey.objects.filter(user=user, pk=pk).delete()[0])
    recovery_codes_drop(user)
    return was_there


def everything_off(*, user: User) -> bool:
    """For who lost everything: neither app nor passkey is asked for. Whether one was."""
    factors = SecondFactor.objects.filter(user=user).delete()[0]
    keys = Passkey.objects.filter(user=user).delete()[0]
    recovery_codes_drop(user)
    return bool(factors or keys)


def recovery_codes_drop(user: User) -> None:
    """They go with the last second factor that is switched on."""
    if not marks_of(user):
        RecoveryCode.objects.filter(user=user).delete()


def _used(factor: SecondFactor, code: str) -> bool:
    """Use a code of the app up: a code seen over a shoulder does not work a second time."""
    typed = "".join(code.split())
    if not (typed.isascii() and typed.isdecimal()):
        return False
    now = int(datetime.now(UTC).timestamp()) // STEP_S
    totp = pyotp.TOTP(factor.secret)
    for step in range(now - STEPS_EITHER_WAY, now + STEPS_EITHER_WAY + 1):
        if hmac.compare_digest(totp.generate_otp(step), typed):
            unused = SecondFactor.objects.filter(pk=factor.pk, last_step__lt=step)
            return bool(unused.update(last_step=step))
    return False


def _recovery_used(user: User, code: str) -> bool:
    found = RecoveryCode.objects.filter(user=user, code_hash=_recovery_hash(user, code))
    return bool(found.delete()[0])


def _recovery_hash(user: User, code: str) -> str:
    return code_digest(code, purpose=f"recovery {user.pk} ")
