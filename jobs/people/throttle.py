"""Waiting longer after every few wrong tries, by what is tried and who (or where from).

Kept in the database, so it holds with Redis gone and in every process. Known libraries for this
(django-axes) count sign-ins only, keep names and addresses as they were typed, and lock a person
or an address for everybody. Here codes and PINs are counted in the same table, a mark is kept as
a keyed hash, and the caller decides what is counted together: see ``sign_in.py``.

A try is counted before it is judged, so that tries side by side cannot all be the first one.
"""

import hmac
import math
from datetime import UTC, datetime, timedelta

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F
from django.utils.translation import ngettext

from .models import WrongTries

TRIES = 5
FIRST_WAIT = timedelta(minutes=1)
LONGEST_WAIT = timedelta(hours=1)
FORGET = timedelta(hours=24)


class TooManyTries(ValidationError):
    """Somebody has to wait. ``seconds`` is how long; the message says it in minutes."""

    def __init__(self, left: timedelta) -> None:
        self.seconds = math.ceil(left.total_seconds())
        minutes = math.ceil(left / timedelta(minutes=1))
        super().__init__(
            ngettext(
                "Too many wrong tries. Please wait a minute.",
                "Too many wrong tries. Please wait %(minutes)d minutes.",
                minutes,
            )
            % {"minutes": minutes}
        )


def check(purpose: str, who: str) -> None:
    """Raises TooManyTries while ``who`` has to wait. Counts nothing: one read."""
    row = WrongTries.objects.filter(mark=_mark(purpose, who)).first()
    if row is not None:
        _refuse_waiting(row, datetime.now(UTC))


def take(purpose: str, who: str, *, tries: int = TRIES) -> None:
    """Count a try that is about to be judged. Raises TooManyTries while ``who`` has to wait.

    After every ``tries`` of them the wait is four times as long. It commits at once: what the
    caller does must not undo it.
    """
    check(purpose, who)  # whoever waits costs one read and takes no lock
    now = datetime.now(UTC)
    with transaction.atomic(durable=True):
        row, is_new = WrongTries.objects.select_for_update(no_key=True).get_or_create(
            mark=_mark(purpose, who), defaults={"last_at": now}
        )
        _refuse_waiting(row, now)
        if row.last_at < now - FORGET:
            row.wrong = 0
        row.wrong, row.last_at = row.wrong + 1, now
        row.until = now + _wait(row.wrong // tries) if row.wrong % tries == 0 else None
        row.save(update_fields=["wrong", "last_at", "until"])
        if is_new:
            WrongTries.objects.filter(last_at__lt=now - FORGET).delete()


def passed(purpose: str, who: str) -> None:
    """The try was right: forget all before it."""
    WrongTries.objects.filter(mark=_mark(purpose, who)).delete()


def give_back(purpose: str, who: str) -> None:
    """The try that was counted was not judged, or was right: it alone does not count."""
    WrongTries.objects.filter(mark=_mark(purpose, who), wrong__gt=0).update(
        wrong=F("wrong") - 1, until=None
    )


def _refuse_waiting(row: WrongTries, now: datetime) -> None:
    if row.until is not None and row.until > now:
        raise TooManyTries(row.until - now)


def _wait(times: int) -> timedelta:
    factor: int = 4 ** min(times - 1, 10)
    return min(FIRST_WAIT * factor, LONGEST_WAIT)


def _mark(purpose: str, who: str) -> str:
    """Keyed: neither names nor addresses can be read from the table."""
    words = f"tries:{purpose}:{who}".encode()
    return hmac.new(settings.SECRET_KEY.encode(), words, "sha256").hexdigest()
