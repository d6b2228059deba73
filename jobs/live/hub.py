"""Who in this process listens to which topic, and the newest revision they were told.

Only the newest revision matters: a listener that was slow is told the last one and
fetches what it shows. Everything here runs on the event loop; ``announce`` may be called
from any thread.
"""

import asyncio
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager


class Listener:
    """One open stream. ``wait`` returns the newest revision not yet taken."""

    def __init__(self) -> None:
        self._changed = asyncio.Event()
        self._revision = -1

    def notify(self, revision: int) -> None:
        if revision > self._revision:
            self._revision = revision
            self._changed.set()

    async def wait(self, timeout_s: float) -> int | None:
        """The newest revision, as soon as there is one; None after ``timeout_s``."""
        try:
            async with asyncio.timeout(timeout_s):
                await self._changed.wait()
        except TimeoutError:
            return None
        self._changed.clear()
        return self._revision


class Hub:
    def __init__(self) -> None:
        self._loop: asyncio.AbstractEventLoop | None = None
        self._listeners: defaultdict[int, set[Listener]] = defaultdict(set)

    def attach(self) -> None:
        """Say, on the loop that serves the streams, that this is that loop."""
        self._loop = asyncio.get_running_loop()

    def topics(self) -> list[int]:
        """What somebody is listening to."""
        return list(self._listeners)

    def announce(self, topic: int, revision: int) -> None:
        """Tell every listener of this process. Without a loop there are none."""
        if self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self._notify, topic, revision)

    def _notify(self, topic: int, revision: int) -> None:
        for listener in self._listeners.get(topic, ()):
            listener.notify(revision)

    @contextmanager
    def listening(self, topic: int) -> Iterator[Listener]:
        listener = Listener()
        self._listeners[topic].add(listener)
        try:
            yield listener
        finally:
            self._listeners[topic].discard(listener)
            if not self._listeners[topic]:
                del self._listeners[topic]


hub = Hub()
