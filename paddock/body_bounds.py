"""How long the body of a request may be, decided before any of it is kept.

What a stranger sends is short: a name and a password, a code. Only people of the business
send photos and lists. Whoever sends more than a stranger may is looked up first, by the
cookie of the session or of an enrolled tablet, which costs a query or two.
"""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from http import HTTPStatus
from http.cookies import CookieError, SimpleCookie
from importlib import import_module

from django.conf import settings
from django.contrib.auth import get_user
from django.http import HttpRequest
from django.utils.translation import gettext as _

from jobs.acts.faults import fault_note
from jobs.people.devices import device_of
from jobs.people.enums import Role
from jobs.people.models import User

from . import readiness

KB = 1024
STRANGER = 64 * KB
CUSTOMER = 256 * KB
# The largest photo (jobs/files/pictures.py) and the fields beside it.
OF_THE_BUSINESS = 22 * KB * KB
# What is too long is read to its end, unkept, so that its sender hears the answer; not for ever.
DISCARDED = 64 * KB * KB

Answer = tuple[HTTPStatus, str, str]  # with its content type


@dataclass(frozen=True)
class Head:
    """What is known of a request before its body. ``length`` is None where it is not said."""

    length: int | None
    cookies: str
    is_act: bool  # of a tablet's queue

    @property
    def is_short(self) -> bool:
        return self.length is not None and self.length <= STRANGER


def head_of_wsgi(environ: dict[str, object]) -> Head:
    length = str(environ.get("CONTENT_LENGTH") or "")
    return Head(
        length=int(length) if length.isdecimal() else None,
        cookies=str(environ.get("HTTP_COOKIE", "")),
        is_act="HTTP_X_ACT_ID" in environ,
    )


def head_of_asgi(headers: Iterable[tuple[bytes, bytes]]) -> Head:
    found = {name.lower(): value.decode("latin-1") for name, value in headers}
    length = found.get(b"content-length", "")
    return Head(
        length=int(length) if length.isdecimal() else None,
        cookies=found.get(b"cookie", ""),
        is_act=b"x-act-id" in found,
    )


def most_bytes(head: Head) -> int:
    """How long the body may be. Asks the database, in a thread of its own, if it is not short."""
    if head.is_short or not head.cookies:
        return STRANGER
    return readiness.in_thread(lambda: _of_sender(head.cookies))


def _of_sender(text: str) -> int:
    cookies = _cookies(text)
    device = device_of(cookie=cookies.get(settings.TABLET_COOKIE_NAME, ""))
    if device is not None and device.shut_out_at is None:
        return OF_THE_BUSINESS
    user = _user(cookies.get(settings.SESSION_COOKIE_NAME, ""))
    if user is None:
        return STRANGER
    return CUSTOMER if user.role == Role.CUSTOMER else OF_THE_BUSINESS


def _cookies(text: str) -> dict[str, str]:
    try:
        return {name: one.value for name, one in SimpleCookie(text).items()}
    except CookieError:
        return {}


def _user(session_key: str) -> User | None:
    """Who is signed in with this session, if anybody."""
    if not session_key:
        return None
    request = HttpRequest()
    request.session = import_module(settings.SESSION_ENGINE).SessionStore(session_key)
    user = get_user(request)
    return user if isinstance(user, User) else None


def too_long(head: Head, most: int) -> Answer:
    """The answer to a body that is too long, in words; to a tablet's queue as it reads them.

    An act of somebody who is not signed in waits on the tablet until they are.
    """
    known = most > STRANGER
    if known:
        words = _("This is too large: %(n)s MB at most.") % {"n": f"{most / (KB * KB):g}"}
    else:
        words = _(
            "This is too large from somebody who is not signed in. Sign in, and send it again."
        )
    if not head.is_act:
        return HTTPStatus.REQUEST_ENTITY_TOO_LARGE, "text/plain", words
    outcome = "refused" if known else "sign in"
    status = HTTPStatus.REQUEST_ENTITY_TOO_LARGE if known else HTTPStatus.UNAUTHORIZED
    return status, "application/json", json.dumps({"outcome": outcome, "text": words})


def cannot_ask(head: Head, error: Exception) -> Answer:
    """The answer while the database cannot say who sends it, or has no tables for it yet.

    Raises what is no such fault.
    """
    fault = fault_note(error)
    missing = [] if fault else readiness.in_thread(readiness.missing_in_database)
    if fault is None and not missing:
        raise error
    words = str(fault.label) if fault else " ".join(missing)
    if not head.is_act:
        return HTTPStatus.SERVICE_UNAVAILABLE, "text/plain", words
    said = json.dumps({"outcome": "waits", "text": words})
    return HTTPStatus.SERVICE_UNAVAILABLE, "application/json", said
