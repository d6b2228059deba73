"""Named handlers of deferred work. A room registers its own in its tasks.py::

    @handler("billing.invoice_pdf")
    def invoice_pdf(work: Work) -> Finish:
        pdf = ...                                   # slow, outside any transaction
        return partial(services.invoice_pdf_keep, invoice_id=..., pdf=pdf)

What a handler returns is run in the transaction that closes the row, so what it writes
is written exactly once however often the handler itself had to run. Whatever a handler
does to the outside world must bear repeating (``work.id`` is the same every time).
"""

import uuid
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Work:
    id: uuid.UUID
    payload: dict[str, Any]


Finish = Callable[[], Any]
Handler = Callable[[Work], Finish | None]

HANDLERS: dict[str, Handler] = {}


def handler(name: str) -> Callable[[Handler], Handler]:
    """Register the handler of that name. A name is registered once."""

    def register(function: Handler) -> Handler:
        if name in HANDLERS:
            raise ValueError(f"the handler {name!r} is registered twice")
        HANDLERS[name] = function
        return function

    return register
