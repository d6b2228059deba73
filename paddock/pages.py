"""The pages, once nothing is missing; until then one page that says what to run.

``manage.py setup`` may be run while a server waits: it goes on by itself afterwards.
"""

import logging
import threading
import time
from collections.abc import Callable, Iterable
from typing import Any

from django.contrib.staticfiles.finders import find
from django.core.wsgi import get_wsgi_application
from django.template.loader import render_to_string

from jobs.people.setup_code import tuner_exists

from . import readiness
from .health import Health

log = logging.getLogger(__name__)

STYLES = ("paddock/tokens.css", "paddock/base.css", "paddock/parts.css")
STYLE_PATH = "/not-ready.css"
POLICY = "default-src 'none'; style-src 'self'; frame-ancestors 'none'; base-uri 'none'"

Start = Callable[..., Any]


class WhenReady:
    """A WSGI application. Asks what is missing at most once in three seconds."""

    def __init__(self) -> None:
        self._health = Health()
        self.says_where_to_begin = True  # not where ``manage.py serve`` has just printed it
        self._pages: Any = None
        self._missing: list[str] = []
        self._asked_at = -readiness.PAUSE_S
        self._lock = threading.Lock()

    def __call__(self, environ: dict[str, Any], start_response: Start) -> Iterable[bytes]:
        said = self._health.answer(environ.get("PATH_INFO", ""))
        if said is not None:
            status, text = said
            code = f"{status.value} {status.phrase}"
            return _answer(start_response, code, "application/json", text)
        if not self.is_ready():
            return self._not_ready(environ, start_response)
        answer: Iterable[bytes] = self._pages(environ, start_response)
        return answer

    def is_ready(self) -> bool:
        """Whether the pages answer. What is missing is said once in the log."""
        if self._pages is None:
            with self._lock:
                self._look()
        return self._pages is not None

    def _look(self) -> None:
        if self._pages is not None or time.monotonic() < self._asked_at + readiness.PAUSE_S:
            return
        found = readiness.in_thread(readiness.missing)
        self._asked_at = time.monotonic()
        if not found:
            self._pages = get_wsgi_application()
            if self.says_where_to_begin and not readiness.in_thread(tuner_exists):
                log.warning("Nobody can sign in yet. Run: %s (it prints where)", readiness.COMMAND)
        elif not self._missing:  # said once: while it is being migrated it changes all the time
            log.error(readiness.in_one_line(found))
        self._missing = found

    def _not_ready(self, environ: dict[str, Any], start_response: Start) -> Iterable[bytes]:
        if environ.get("PATH_INFO") == STYLE_PATH:
            return _answer(start_response, "200 OK", "text/css", _styles())
        page = render_to_string(
            "paddock/not_ready.html",
            {"missing": self._missing, "command": readiness.COMMAND, "style": STYLE_PATH},
        )
        return _answer(start_response, "503 Service Unavailable", "text/html", page)


def _answer(start_response: Start, status: str, kind: str, text: str) -> list[bytes]:
    body = text.encode()
    headers = {
        "Content-Type": f"{kind}; charset=utf-8",
        "Content-Length": str(len(body)),
        "Cache-Control": "no-store",
        "Retry-After": "10",
        "X-Content-Type-Options": "nosniff",
        "Content-Security-Policy": POLICY,
    }
    start_response(status, list(headers.items()))
    return [body]


def _styles() -> str:
    texts = []
    for name in STYLES:
        with open(str(find(name)), encoding="utf-8") as file:
            texts.append(file.read())
    return "\n".join(texts)


pages = WhenReady()
