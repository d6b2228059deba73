"""Access to the live stream, which no middleware handles, and the revision of a day."""

import re
from collections.abc import Awaitable, Callable, Sequence
from functools import partial
from http.cookies import CookieError, SimpleCookie
from importlib import import_module
from typing import Any, ParamSpec, TypeVar

from asgiref.sync import sync_to_async
from django.conf import settings
from django.contrib.auth import get_user
from django.db import close_old_connections
from django.http import HttpRequest

from jobs.live.hub import hub
from jobs.live.stream import Receive, Send, refuse, stream
from jobs.people.access import may_open
from jobs.trackday.models import Trackday

P = ParamSpec("P")
T = TypeVar("T")

PATH = re.compile(r"/live/(\d{1,18})/")


def wanted(scope: dict[str, Any]) -> int | None:
    """The trackday this request wants the stream of. None: an ordinary request."""
    match = PATH.fullmatch(scope["path"])
    headers = dict(scope["headers"])
    if match and b"text/event-stream" in headers.get(b"accept", b""):
        return int(match[1])
    return None


async def serve(scope: dict[str, Any], receive: Receive, send: Send, trackday_id: int) -> None:
    cookies = dict(scope["headers"]).get(b"cookie", b"").decode("latin-1")
    may_watch = partial(in_thread(_may_watch), cookies)
    if not await may_watch():
        await refuse(send, 401)
        return

    async def current() -> int | None:
        return (await revisions([trackday_id])).get(trackday_id)

    await stream(receive, send, hub=hub, topic=trackday_id, current=current, may_stay=may_watch)


async def revisions(trackday_ids: Sequence[int]) -> dict[int, int]:
    """The newest revision of each of these trackdays that exists."""
    return await in_thread(_revisions)(trackday_ids)


def _revisions(trackday_ids: Sequence[int]) -> dict[int, int]:
    return dict(Trackday.objects.filter(pk__in=trackday_ids).values_list("pk", "revision"))


def _may_watch(cookies: str) -> bool:
    """The same session, user and access table as the pages'."""
    try:
        key = SimpleCookie(cookies).get(settings.SESSION_COOKIE_NAME)
    except CookieError:
        return False
    if key is None:
        return False
    request = HttpRequest()
    request.session = import_module(settings.SESSION_ENGINE).SessionStore(key.value)
    user = get_user(request)
    return user.is_authenticated and may_open(role=user.role, view_name="live")


def in_thread(function: Callable[P, T]) -> Callable[P, Awaitable[T]]:
    """Run a function that asks the database in a thread, and give its connection back."""

    def closing(*args: P.args, **kwargs: P.kwargs) -> T:
        close_old_connections()
        try:
            return function(*args, **kwargs)
        finally:
            close_old_connections()

    return sync_to_async(closing, thread_sensitive=False)
