"""A request is worked on only when all of it has come.

Where a connection breaks inside a form, what stands between server and Django (a2wsgi,
granian) ends the body there without a word, and Django reads the fields there are: an act
would be refused, or written, as nobody filled it in. What broke off is dropped, and whoever
sent it sends it again.
"""

from collections.abc import Awaitable, Callable, Iterable, MutableMapping
from functools import partial
from tempfile import SpooledTemporaryFile
from typing import IO, Any

Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]

MEMORY = 1024 * 1024  # of a body; what is longer waits on the disk
PIECE = 64 * 1024


class WholeRequests:
    """For a server that speaks WSGI."""

    def __init__(self, pages: Callable[..., Iterable[bytes]]) -> None:
        self.pages = pages

    def __call__(
        self, environ: dict[str, Any], start_response: Callable[..., Any]
    ) -> Iterable[bytes]:
        length = environ.get("CONTENT_LENGTH") or ""
        if not length.isdecimal() or not int(length):
            return self.pages(environ, start_response)
        with SpooledTemporaryFile(MEMORY) as body:
            if not _copied(environ["wsgi.input"], body, int(length)):
                start_response("400 Bad Request", [("Content-Type", "text/plain")])
                return [b"The connection broke before all of this had come."]
            body.seek(0)
            return self.pages({**environ, "wsgi.input": body}, start_response)


async def hand_on_whole(pages: Any, scope: dict[str, Any], receive: Receive, send: Send) -> None:
    """For a server that speaks ASGI; while it waits it holds no thread."""
    with SpooledTemporaryFile(MEMORY) as body:
        if await _received(receive, body):
            body.seek(0)
            await pages(scope, partial(_piece, body), send)


def _copied(source: IO[bytes], target: IO[bytes], length: int) -> bool:
    """Whether there was as much as that."""
    while length:
        piece = source.read(min(PIECE, length))
        if not piece:
            return False
        target.write(piece)
        length -= len(piece)
    return True


async def _received(receive: Receive, target: IO[bytes]) -> bool:
    """Whether it came to its end."""
    more = True
    while more:
        message = await receive()
        if message["type"] == "http.disconnect":
            return False
        target.write(message.get("body", b""))
        more = message.get("more_body", False)
    return True


async def _piece(body: IO[bytes]) -> Message:
    piece = body.read(PIECE)
    return {"type": "http.request", "body": piece, "more_body": len(piece) == PIECE}
