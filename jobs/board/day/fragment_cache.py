"""Rendered fragments of pages, cached by the revision of the day and the minute."""

from collections.abc import Callable

from django.core.cache import cache
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

from jobs.trackday import clock
from jobs.trackday.models import Trackday

CACHE_SECONDS = 120


def cached_fragment(name: str, trackday: Trackday, build: Callable[[], str]) -> SafeString:
    """The fragment ``name`` of a day; rendered again when the revision or the minute is another.

    The windows of tasks open and close with the minute; countdowns run in the browser.
    """
    minute = int(clock.now(trackday).timestamp() // 60)
    key = f"{name}:{trackday.pk}:{trackday.revision}:{minute}:{get_language()}"
    kept: str | None = cache.get(key)
    if kept is None:
        kept = build()
        cache.set(key, kept, CACHE_SECONDS)
    return mark_safe(kept)  # noqa: S308 - rendered by a template before
