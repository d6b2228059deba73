"""A second factor at signing in: a code of six digits from an app on one's phone (RFC 6238).

Asked on a browser that has not given one before, never at a tablet's PIN. The app's codes are
computed by pyotp. Recovery codes, shown once and kept as hashes, stand in for a lost phone;
``manage.py signin_link --without-second-factor`` for whoever lost both.
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
from .models import RecoveryCode, SecondFactor, User

log = logging.getLogger(__name__)

CODES = 10
STEPS_EITHER_WAY = 1  # a clock may be half a minute wrong (RFC 6238, section 5.2)
STEP_S = 30
PURPOSE = "second factor"


def factor_of(user: User) -> SecondFactor | None:
    """The second factor that is switched on."""
    return SecondFactor.objects.filter(user=user, confirmed_at__isnull=False).first()


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
    """Switch it on with the first code of the phone. Returns the recovery codes, shown once.

    Raises ValidationError in words.
    """
    factor = factor_prepare(user=user)
    throttle.take(PURPOSE, str(user.pk))
    with transaction.atomic():
        if not _used(factor, code):
            raise ValidationError(_("That is not the code the app shows now."))
        SecondFactor.objects.filter(pk=factor.pk).update(confirmed_at=datetime.now(UTC))
        codes = [code_make() for _number in range(CODES)]
        RecoveryCode.objects.filter(user=user).delete()
        RecoveryCode.objects.bulk_create(
            RecoveryCode(user=user, code_hash=_recovery_hash(user, one)) for one in codes
        )
    throttle.passed(PURPOSE, str(user.pk))
    return codes


def code_check(*, user: User, code: str) -> None:
    """Raises ValidationError in words unless it is the app's code, or a recovery code.

    Either works once. Only who knows the password gets here, so the wait is the person's.
    """
    throttle.take(PURPOSE, str(user.pk))
    factor = factor_of(user)
    if factor is None or not (_used(factor, code) or _recovery_used(user, code)):
        log.warning("wrong second factor of user %s", user.pk)
        raise ValidationError(_("That is not the code."))
    throttle.passed(PURPOSE, str(user.pk))


def factor_switch_off(*, user: User) -> bool:
    """Whether there was one. The recovery codes go with it."""
    RecoveryCode.objects.filter(user=user).delete()
    return bool(SecondFactor.objects.filter(user=user).delete()[0])


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
