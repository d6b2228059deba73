"""At most one password is hashed at a time in a process.

A hash is made to be slow and to take much memory. Several at once would hold every thread that
answers pages. Whoever waits for longer than two seconds is asked to try again.
"""

import logging
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from django.contrib.auth.hashers import Argon2PasswordHasher
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from .access import wants_json

log = logging.getLogger(__name__)

LONGEST_WAIT_S = 2.0
RETRY_AFTER_S = "5"

_turn = threading.RLock()  # one thread may hash within its own turn


class TooManyHashes(Exception):
    """Others are hashing; nothing was judged or changed."""


@contextmanager
def turn() -> Iterator[None]:
    """Wait for one's turn to hash. Raises TooManyHashes after two seconds."""
    if not _turn.acquire(timeout=LONGEST_WAIT_S):
        raise TooManyHashes
    try:
        yield
    finally:
        _turn.release()


class OneArgon2AtATime(Argon2PasswordHasher):
    """Django's argon2 hasher, one at a time. Its hashes are argon2's: any version reads them.

    One lane of one pass over 46 MiB (OWASP's password storage cheat sheet, from memory): it takes
    one processor and leaves the others to the pages; Django's own takes eight threads at once.
    """

    time_cost, memory_cost, parallelism = 1, 47104, 1

    def encode(self, password: str, salt: str) -> str:
        with turn():
            return super().encode(password, salt)

    def verify(self, password: str, encoded: str) -> bool:
        with turn():
            return super().verify(password, encoded)


class AskedToTryAgain:
    """Answers in words where a view could not hash in time."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, fault: Exception) -> HttpResponse | None:
        if not isinstance(fault, TooManyHashes):
            return None
        log.warning("a password could not be looked at within %s s", LONGEST_WAIT_S)
        if wants_json(request):
            words = _("Many people are signing in at this moment. Please try again.")
            answer: HttpResponse = JsonResponse({"error": words}, status=503)
        else:
            answer = render(request, "503.html", status=503)
        answer.headers["Retry-After"] = RETRY_AFTER_S
        return answer
