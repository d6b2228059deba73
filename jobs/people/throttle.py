"""Waiting longer after every five wrong tries, per purpose and who (or where from)."""

import math
from datetime import UTC, datetime, timedelta

from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.utils.translation import ngettext

TRIES = 5
FIRST_WAIT = timedelta(minutes=1)
LONGEST_WAIT = timedelta(hours=1)
FORGET = timedelta(hours=24)


def check(purpose: str, who: str) -> None:
    """Raises ValidationError in words while ``who`` has to wait."""
    until = cache.get(_key("until", purpose, who))
    left = until - datetime.now(UTC) if until else timedelta()
    if left > timedelta():
        minutes = math.ceil(left / timedelta(minutes=1))
        raise ValidationError(
            ngettext(
                "Too many wrong tries. Please wait a minute.",
                "Too many wrong tries. Please wait %(minutes)d minutes.",
                minutes,
            )
            % {"minutes": minutes}
        )


def failed(purpose: str, who: str) -> None:
    key = _key("wrong", purpose, who)
    cache.add(key, 0, FORGET.total_seconds())
    wrong = cache.incr(key)  # counted by the cache: tries side by side are all counted
    if wrong % TRIES == 0:
        until = datetime.now(UTC) + _wait(wrong)
        cache.set(_key("until", purpose, who), until, FORGET.total_seconds())


def passed(purpose: str, who: str) -> None:
    cache.delete_many([_key("wrong", purpose, who), _key("until", purpose, who)])


def _wait(wrong: int) -> timedelta:
    return min(FIRST_WAIT * 4 ** (wrong // TRIES - 1), LONGEST_WAIT)


def _key(*parts: str) -> str:
    return "throttle:" + ":".join(parts)
