"""The id of the request that is being answered, in every log line it leads to.

Deferred work carries the id of the request that asked for it. Outside of both it is empty.
"""

import re
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

_current: ContextVar[str] = ContextVar("request_id", default="")
GIVEN = re.compile(r"[A-Za-z0-9-]{8,64}")


def request_id() -> str:
    return _current.get()


def id_of_request(given: str) -> str:
    """The id a proxy gave, if it looks like one; else a new one of 32 hexadecimal digits."""
    return given if GIVEN.fullmatch(given) else uuid.uuid4().hex


@contextmanager
def under_request(of: str) -> Iterator[None]:
    """What is done inside belongs to the request of this id."""
    token = _current.set(of)
    try:
        yield
    finally:
        _current.reset(token)
