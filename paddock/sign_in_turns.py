"""Tries to sign in wait for their turn before they hold a thread that answers pages.

A password is hashed slowly on purpose, one at a time (``jobs/people/one_hash.py``). Whoever
waited for that in a page's thread would keep it from the pages: eight loops of wrong passwords
held them all. So under ASGI one try after the other is passed on, the first come first, and
those who wait hold no thread. A WSGI server has no other place to wait: two of its threads at
most are given to tries, and whoever comes then is asked to try again at once.
"""

import asyncio
import threading
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager, contextmanager
from functools import cache
from http import HTTPStatus

from django.urls import reverse
from django.utils.translation import gettext as _

from jobs.people.one_hash import LONGEST_WAIT_S

THREADS = 2

Answer = tuple[HTTPStatus, str, str]

_turn = asyncio.Lock()
_threads = threading.BoundedSemaphore(THREADS)


@cache
def _addresses() -> frozenset[str]:
    """Where anybody may have a password or a recovery code hashed."""
    return frozenset({reverse("signin"), reverse("account:second")})


def _is_try(method: str, path: str) -> bool:
    return method == "POST" and path in _addresses()


@asynccontextmanager
async def turn_in_loop(method: str, path: str) -> AsyncIterator[bool]:
    """Within, it is the request's turn; False: it did not come in time. Others never wait."""
    if not _is_try(method, path):
        yield True
        return
    try:
        async with asyncio.timeout(LONGEST_WAIT_S):
            await _turn.acquire()
    except TimeoutError:
        yield False
        return
    try:
        yield True
    finally:
        _turn.release()


@contextmanager
def turn_in_thread(method: str, path: str) -> Iterator[bool]:
    """The same where each request has a thread: False at once while two are at it."""
    if not _is_try(method, path):
        yield True
        return
    if not _threads.acquire(blocking=False):
        yield False
        return
    try:
        yield True
    finally:
        _threads.release()


def busy() -> Answer:
    words = _("Many people are signing in at this moment. Please try again in a few seconds.")
    return HTTPStatus.SERVICE_UNAVAILABLE, "text/plain", words
