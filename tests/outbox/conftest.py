import subprocess
from collections.abc import Callable, Iterator

import pytest

from jobs.outbox.queues import Queue
from jobs.outbox.registry import HANDLERS, QUEUES, Handler

from . import processes


@pytest.fixture
def register() -> Iterator[Callable[[str, Handler], None]]:
    """``register(name, function, queue=...)``: a handler for the length of one test."""
    names = []

    def add(name: str, function: Handler, queue: Queue = Queue.DOCUMENTS) -> None:
        HANDLERS[name], QUEUES[name] = function, queue
        names.append(name)

    yield add
    for name in names:
        del HANDLERS[name], QUEUES[name]


@pytest.fixture
def worker_start(tmp_path) -> Iterator[Callable[..., subprocess.Popen]]:
    """``worker_start(EMBEDDED, slow_s=5)``: a process that does not outlive the test."""
    started = []

    def start(command: list[str], *, slow_s: float, redis_url: str = "") -> subprocess.Popen:
        started.append(processes.start(command, tmp_path, slow_s=slow_s, redis_url=redis_url))
        return started[-1]

    yield start
    for process in started:
        processes.kill(process)
