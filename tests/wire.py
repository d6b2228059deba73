"""A wire between browser and server that a test can really cut.

Every connection goes through it. ``cut()`` breaks those that are open and refuses new
ones; ``lose_answers(n)`` lets the next ``n`` posted requests through and breaks the
connection before their answer; ``break_posts(n)`` breaks it inside the next ``n`` bodies;
their heads are in ``broken``; ``refuse_posts`` breaks those that post; ``heard`` keeps what
was posted, to be sent again; ``rewrite`` replaces bytes of answers, to look like a new
version.
"""

import asyncio
import contextlib
import threading
from collections.abc import Callable, Coroutine
from typing import Any

BREAK_S = 0.05  # what was sent before the line broke has time to arrive


class BrokenOff(ConnectionResetError):
    """The line breaks after this much of a request."""

    def __init__(self, part: bytes) -> None:
        super().__init__()
        self.part = part


class Wire:
    def __init__(self, target_port: int) -> None:
        self.target_port = target_port
        self.whole = True
        self.answers_to_lose = 0
        self.posts_to_break = 0
        self.refuse_posts = False
        self.heard: list[bytes] = []
        self.broken: list[bytes] = []
        self.rewrite: tuple[bytes, bytes] | None = None
        self._open: set[asyncio.StreamWriter] = set()
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._loop.run_forever, daemon=True)
        self._thread.start()
        self._server = self._call(self._listen())
        self.port = self._server.sockets[0].getsockname()[1]

    def cut(self) -> None:
        self.whole = False
        self._call(self._break_open())

    def mend(self) -> None:
        self.whole = True

    def lose_answers(self, count: int) -> None:
        self.answers_to_lose = count

    def break_posts(self, count: int) -> None:
        self.posts_to_break = count

    def close(self) -> None:
        self._server.close()
        self.cut()
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join()
        self._loop.close()

    def _call(self, work: Coroutine[Any, Any, Any]) -> Any:
        return asyncio.run_coroutine_threadsafe(work, self._loop).result(10)

    async def _listen(self) -> asyncio.Server:
        return await asyncio.start_server(self._accept, "127.0.0.1", 0)

    async def _break_open(self) -> None:
        for writer in list(self._open):
            writer.transport.abort()
        await asyncio.sleep(0)

    async def _accept(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        if not self.whole:
            writer.transport.abort()
            return
        try:
            up_reader, up_writer = await asyncio.open_connection("127.0.0.1", self.target_port)
        except OSError:
            writer.transport.abort()
            return
        ends = {writer, up_writer}
        self._open |= ends
        losing = asyncio.Event()
        with contextlib.suppress(OSError):
            await asyncio.gather(
                self._pump(reader, up_writer, lambda data: self._asked(data, losing)),
                self._pump(up_reader, writer, lambda data: self._answered(data, losing)),
            )
        self._open -= ends
        for end in ends:
            end.transport.abort()

    async def _pump(
        self,
        reader: asyncio.StreamReader,
        writer: asyncio.StreamWriter,
        seen: Callable[[bytes], bytes],
    ) -> None:
        while data := await reader.read(65536):
            try:
                writer.write(seen(data))
            except BrokenOff as broken:
                writer.write(broken.part)
                await asyncio.sleep(BREAK_S)
                raise
            await writer.drain()
        writer.transport.abort()

    def _asked(self, data: bytes, losing: asyncio.Event) -> bytes:
        if not data.startswith(b"POST "):
            return data
        if self.refuse_posts:
            raise ConnectionResetError
        if self.posts_to_break:
            self.posts_to_break -= 1
            head, empty, body = data.partition(b"\r\n\r\n")
            self.broken.append(head)
            raise BrokenOff(head + empty + body[: len(body) // 2])
        self.heard.append(data)
        if self.answers_to_lose:
            self.answers_to_lose -= 1
            losing.set()
        return data

    def _answered(self, data: bytes, losing: asyncio.Event) -> bytes:
        if losing.is_set():
            raise ConnectionResetError
        if self.rewrite:
            data = data.replace(*self.rewrite)
        return data
