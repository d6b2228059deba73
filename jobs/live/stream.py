"""One open server-sent event stream, at ASGI level (WHATWG HTML, server-sent events).

Events are named ``moved`` and carry the revision; a comment keeps proxies awake.
"""

import asyncio
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

from .hub import Hub, Listener

Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]

KEEP_ALIVE_S = 15.0  # after so long without a revision: a comment, and access is checked again
HEADERS = [
    (b"content-type", b"text/event-stream; charset=utf-8"),
    (b"cache-control", b"no-cache, no-transform"),
    (b"x-accel-buffering", b"no"),
    (b"x-content-type-options", b"nosniff"),
]


async def stream(
    receive: Receive,
    send: Send,
    *,
    hub: Hub,
    topic: int,
    current: Callable[[], Awaitable[int | None]],
    may_stay: Callable[[], Awaitable[bool]],
) -> None:
    """Serve one listener of ``topic`` until it goes or may not stay.

    ``current`` is asked once the listener is registered, so nothing falls between; None
    from it means there is no such topic.
    """
    with hub.listening(topic) as listener:
        revision = await current()
        if revision is None:
            await refuse(send, 404)
            return
        await send({"type": "http.response.start", "status": 200, "headers": HEADERS})
        await send(_body(b"retry: 2000\n" + _event(revision)))
        sending = asyncio.create_task(_send_revisions(listener, send, revision, may_stay))
        leaving = asyncio.create_task(_until_disconnect(receive))
        done, pending = await asyncio.wait({sending, leaving}, return_when=asyncio.FIRST_COMPLETED)
        for task in pending:
            task.cancel()
        if sending in done:
            sending.result()
            await send({"type": "http.response.body", "body": b""})


async def refuse(send: Send, status: int) -> None:
    await send({"type": "http.response.start", "status": status, "headers": []})
    await send({"type": "http.response.body", "body": b""})


async def _send_revisions(
    listener: Listener,
    send: Send,
    told: int,
    may_stay: Callable[[], Awaitable[bool]],
) -> None:
    while True:
        revision = await listener.wait(KEEP_ALIVE_S)
        if revision is None:
            if not await may_stay():
                return
            await send(_body(b":\n\n"))
        elif revision > told:
            told = revision
            await send(_body(_event(revision)))


async def _until_disconnect(receive: Receive) -> None:
    while (await receive())["type"] != "http.disconnect":
        pass


def _event(revision: int) -> bytes:
    return b"event: moved\nid: %d\ndata: %d\n\n" % (revision, revision)


def _body(data: bytes) -> dict[str, Any]:
    return {"type": "http.response.body", "body": data, "more_body": True}
