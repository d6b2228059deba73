"""Named handlers of deferred work. A room registers its own in its tasks.py::

    @handler("billing.invoice_pdf", queue=Queue.DOCUMENTS, words=_("the file of an invoice"))
    def invoice_pdf(job: JobInput) -> Finish:
        pdf = ...                                   # slow, outside any transaction
        return partial(services.invoice_pdf_keep, invoice_id=..., pdf=pdf)

What a handler returns is run in the transaction that closes the row, so what it writes
is written exactly once however often the handler itself had to run. Whatever a handler
does to the outside world may happen more than once (``job.id`` is the same every time).
"""

import uuid
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django_stubs_ext import StrOrPromise

from .queues import Queue


@dataclass(frozen=True)
class JobInput:
    """One row of the outbox as its handler gets it."""

    id: uuid.UUID
    payload: dict[str, Any]


Finish = Callable[[], Any]
Clock = Callable[[], Any]
Handler = Callable[[JobInput], Finish | None]

HANDLERS: dict[str, Handler] = {}
WORDS: dict[str, StrOrPromise] = {}  # what each handler does, for the desk
QUEUES: dict[str, Queue] = {}
SCHEDULED: list[Clock] = []


def handler(name: str, *, queue: Queue, words: StrOrPromise = "") -> Callable[[Handler], Handler]:
    """Register the handler of that name, and where its work waits. A name is registered once.

    ``words`` say on the desk what the work is.
    """

    def register(function: Handler) -> Handler:
        if name in HANDLERS:
            raise ValueError(f"the handler {name!r} is registered twice")
        HANDLERS[name], QUEUES[name], WORDS[name] = function, queue, words or name
        return function

    return register


def scheduled(function: Clock) -> Clock:
    """Have ``function`` called at every sweep, every few seconds: it looks at the clock, and
    asks for work by ``job_enqueue`` when it is time, under a key that names the occasion."""
    SCHEDULED.append(function)
    return function
