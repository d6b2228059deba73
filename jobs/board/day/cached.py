"""Fragments kept until something moves: by the day's revision, and by the minute."""

from collections.abc import Callable

from django.core.cache import cache
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

from jobs.trackday import clock
from jobs.trackday.models import Trackday

KEPT_S = 120


def fragment_kept(name: str, trackday: Trackday, build: Callable[[], str]) -> SafeString:
    """The fragment ``name`` of a day; built anew when the day or the minute has moved.

    Windows open and close with the minute, countdowns run in the browser.
    """
    minute = int(clock.now(trackday).timestamp() // 60)
    key = f"{name}:{trackday.pk}:{trackday.revision}:{minute}:{get_language()}"
    kept = cache.get(key)
    if kept is None:
        kept = build()
        cache.set(key, kept, KEPT_S)
    return mark_safe(kept)  # noqa: S308 - rendered by a template before
