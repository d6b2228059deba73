"""The one-time code of a place without a tuner, and whose browser entered it.

Whoever enters the code may make the first tuner, so it is long, kept as a keyed hash, works
once and in one browser, is void after ten wrong tries, and opens nothing once there is a tuner.
``manage.py setup`` and ``manage.py serve`` make it and print it.
"""

import hashlib
import hmac
import logging
import secrets
from collections.abc import Iterator
from contextlib import contextmanager

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from . import throttle
from .codes import code_digest, code_make
from .enums import Role
from .models import SetupCode, User

log = logging.getLogger(__name__)

WRONG_TRIES = 10


class PlaceIsSet(Exception):
    """There is a tuner already, or this browser's code is not the one in force."""


class _Seen:
    """Whether this process has seen that there is a tuner. The last one is never removed."""

    tuner = False


def place_is_unset() -> bool:
    """Whether there is no tuner yet. One query, and none any more once there is one."""
    if not _Seen.tuner:
        _Seen.tuner = tuner_exists()
    return not _Seen.tuner


def forget() -> None:
    """Ask the database again, as a new process does."""
    _Seen.tuner = False


def tuner_exists() -> bool:
    """Whether somebody can sign in as a tuner now; asks the database every time."""
    return User.objects.filter(role=Role.TUNER, is_active=True).exists()


@transaction.atomic
def code_new() -> str:
    """A new code, as ``ABCD-EFGH``; the one before and the browser that entered it are void.

    Raises PlaceIsSet where there is a tuner.
    """
    if tuner_exists():
        raise PlaceIsSet
    code = code_make()
    SetupCode.objects.update_or_create(
        pk=1, defaults={"code_hash": _code_hash(code), "holder_hash": "", "wrong_tries": 0}
    )
    return code


def code_matches(code: str) -> bool:
    """Whether this is the code in force. Counts nothing: for browsers there is ``code_enter``."""
    row = SetupCode.objects.filter(pk=1).exclude(code_hash="").first()
    if row is None or tuner_exists():
        return False
    return hmac.compare_digest(row.code_hash, _code_hash(code))


def code_enter(*, code: str, where_from: str) -> str:
    """What the browser is to keep that entered the right code; the code is used up by it.

    Raises ValidationError in words: wrong, used up, tried too often.
    """
    throttle.take("setup", where_from)
    with transaction.atomic():
        row = SetupCode.objects.select_for_update(no_key=True).filter(pk=1).first()
        if row is None or not row.code_hash:
            fault = _("There is no code in force: it was used, or tried too often. Make a new one.")
        elif code_matches(code):
            holder = secrets.token_urlsafe(32)
            row.code_hash, row.holder_hash = "", _holder_hash(holder)
            row.save(update_fields=["code_hash", "holder_hash"])
            throttle.passed("setup", where_from)
            return holder
        else:
            row.wrong_tries += 1
            if row.wrong_tries >= WRONG_TRIES:
                row.code_hash = ""
            row.save(update_fields=["wrong_tries", "code_hash"])
            fault = _("That is not the code.")
    log.warning("wrong setup code from %s", where_from)
    raise ValidationError(fault)


def holds_code(holder: str) -> bool:
    """Whether a browser with this secret entered the code in force, and there is no tuner."""
    row = SetupCode.objects.filter(pk=1).exclude(holder_hash="").first()
    if row is None or not holder or tuner_exists():
        return False
    return hmac.compare_digest(row.holder_hash, _holder_hash(holder))


@contextmanager
def first_tuner(holder: str) -> Iterator[None]:
    """Around making the first tuner: of two at once only one succeeds.

    Raises PlaceIsSet before anything is written if this browser may not. The code is gone
    afterwards; an error within leaves it as it was.
    """
    with transaction.atomic():
        SetupCode.objects.select_for_update(no_key=True).filter(pk=1).first()
        if not holds_code(holder):
            raise PlaceIsSet
        yield
        SetupCode.objects.all().delete()


def _code_hash(code: str) -> str:
    return code_digest(code, purpose="setup")


def _holder_hash(holder: str) -> str:
    """A long random secret needs no slow hash."""
    return hashlib.sha256(holder.encode()).hexdigest()
