"""Reject requests whose body is shorter than its Content-Length, or longer than it may be.

When a connection breaks inside a form, the layers between server and Django (a2wsgi, granian)
end the body there without an error, and Django reads the fields that arrived: an act would be
refused, or written, with values nobody entered. Such a request is dropped, and its sender
sends it again. How long a body may be is in ``body_bounds.py``: more than that is not kept.
"""

import asyncio
from collections.abc import Awaitable, Callable, Iterable, MutableMapping
from enum import Enum, auto
from functools import partial
from tempfile import SpooledTemporaryFile
from typing import IO, Any

from .body_bounds import (
    DISCARDED,
    STRANGER,
    Answer,
    cannot_ask,
    head_of_asgi,
    head_of_wsgi,
    most_bytes,
    too_long,
)
from .sign_in_turns import busy, turn_in_loop, turn_in_thread

Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]

MEMORY = 1024 * 1024  # of a body; what is longer waits on the disk
PIECE = 64 * 1024


class Read(Enum):
    WHOLE = auto()
    BROKEN_OFF = auto()
    TOO_LONG = auto()


class CompleteRequests:
    """WSGI middleware: the pages get a request only when its body has arrived completely."""

    def __init__(self, pages: Callable[..., Iterable[bytes]]) -> None:
        self.pages = pages

    def __call__(
        self, environ: dict[str, Any], start_response: Callable[..., Any]
    ) -> Iterable[bytes]:
        head = head_of_wsgi(environ)
        if not head.length:
            return self.pages(environ, start_response)
        try:
            most = most_bytes(head)
        except Exception as error:
            return _wsgi(start_response, cannot_ask(head, error))
        if head.length > most:
            _discard(environ["wsgi.input"], head.length)
            return _wsgi(start_response, too_long(head, most))
        with SpooledTemporaryFile(MEMORY) as body:
            if not _copied(environ["wsgi.input"], body, head.length):
                start_response("400 Bad Request", [("Content-Type", "text/plain")])
                return [b"The connection broke before all of this had come."]
            body.seek(0)
            with turn_in_thread(environ["REQUEST_METHOD"], environ["PATH_INFO"]) as given:
                if not given:
                    return _wsgi(start_response, busy())
                return self.pages({**environ, "wsgi.input": body}, start_response)


async def pass_complete_request(
    pages: Any, scope: dict[str, Any], receive: Receive, send: Send
) -> None:
    """The same for an ASGI server; while it waits, it holds no thread."""
    head = head_of_asgi(scope["headers"])
    try:
        without_body = scope["method"] in ("GET", "HEAD", "OPTIONS")
        known_short = without_body or head.is_short
        most = STRANGER if known_short else await asyncio.to_thread(most_bytes, head)
    except Exception as error:
        await _asgi(send, cannot_ask(head, error))
        return
    with SpooledTemporaryFile(MEMORY) as body:
        read = await _received(receive, body, most)
        if read is Read.TOO_LONG:
            await _asgi(send, too_long(head, most))
        elif read is Read.WHOLE:
            body.seek(0)
            async with turn_in_loop(scope["method"], scope["path"]) as given:
                if given:
                    await pages(scope, partial(_piece, body), send)
                else:
                    await _asgi(send, busy())


def _copied(source: IO[bytes], target: IO[bytes], length: int) -> bool:
    """Copy ``length`` bytes; False where the source ends before."""
    while length:
        piece = source.read(min(PIECE, length))
        if not piece:
            return False
        target.write(piece)
        length -= len(piece)
    return True


def _discard(source: IO[bytes], length: int) -> None:
    left = min(length, DISCARDED)
    while left > 0:
        piece = source.read(min(PIECE, left))
        if not piece:
            return
        left -= len(piece)


async def _received(receive: Receive, target: IO[bytes], most: int) -> Read:
    """Copy a body of at most ``most`` bytes from ASGI messages."""
    more, length = True, 0
    while more and length <= DISCARDED:
        message = await receive()
        if message["type"] == "http.disconnect":
            return Read.BROKEN_OFF
        piece = message.get("body", b"")
        length += len(piece)
        if length <= most:
            target.write(piece)
        more = message.get("more_body", False)
    return Read.WHOLE if length <= most else Read.TOO_LONG


async def _piece(body: IO[bytes]) -> Message:
    piece = body.read(PIECE)
    return {"type": "http.request", "body": piece, "more_body": len(piece) == PIECE}


def _headers(answer: Answer) -> list[tuple[str, str]]:
    _status, kind, words = answer
    return [
        ("Content-Type", f"{kind}; charset=utf-8"),
        ("Content-Length", str(len(words.encode()))),
        ("Cache-Control", "no-store"),
    ]


def _wsgi(start_response: Callable[..., Any], answer: Answer) -> list[bytes]:
    status, _kind, words = answer
    start_response(f"{status.value} {status.phrase}", _headers(answer))
    return [words.encode()]


async def _asgi(send: Send, answer: Answer) -> None:
    status, _kind, words = answer
    headers = [(name.lower().encode(), value.encode()) for name, value in _headers(answer)]
    headers.append((b"connection", b"close"))  # a rest of the body may still be on its way
    await send({"type": "http.response.start", "status": status.value, "headers": headers})
    await send({"type": "http.response.body", "body": words.encode()})
