"""Log lines without personal text: of an error, its kind and where it happened.

The message of an error may hold what somebody typed (a row that could not be written, an
address the mail server refused), so it is left out, but for errors whose messages are made
of the program's own names or of the network's state.
"""

import json
import logging
import traceback
from datetime import UTC, datetime
from smtplib import SMTPException
from types import TracebackType

from django.db import OperationalError

from jobs.outbox.request_id import request_id
from jobs.people.token_addresses import tokens_masked

SHOWN = (AttributeError, ImportError, NameError, OSError, OperationalError, TypeError)
SHOWN_LIBRARIES = ("kombu", "redis")  # what they say of a broker that cannot be reached
NOT_SHOWN = (SMTPException,)  # an OSError that quotes addresses


def described(error: BaseException) -> str:
    """The kind of an error, with its message where that can hold no personal text.

    >>> described(ValueError("invalid literal for int(): 'Ada'"))
    'ValueError'
    >>> described(NameError("name 'bike' is not defined"))
    "NameError: name 'bike' is not defined"
    """
    kind = type(error)
    name = f"{kind.__module__}.{kind.__qualname__}".removeprefix("builtins.")
    library = kind.__module__.partition(".")[0]
    shown = isinstance(error, SHOWN) or library in SHOWN_LIBRARIES
    return f"{name}: {error}" if shown and not isinstance(error, NOT_SHOWN) else name


class LineFormatter(logging.Formatter):
    """One line a record, and under it the calls that led to an error."""

    def format(self, record: logging.LogRecord) -> str:
        """As the library does, with errors among the arguments described and tokens left out."""
        if isinstance(record.args, tuple):
            record.args = tuple(
                described(one) if isinstance(one, BaseException) else one for one in record.args
            )
        record.exc_text = None  # another handler may have formatted it its own way
        return tokens_masked(super().format(record))

    def formatException(  # noqa: N802 - the library's name
        self,
        ei: tuple[type[BaseException], BaseException, TracebackType | None]
        | tuple[None, None, None],
    ) -> str:
        """The calls of each error of the chain, the first cause first."""
        return "\n".join(_chain(ei[1])) if ei[1] is not None else ""


class JsonFormatter(LineFormatter):
    """One JSON object a line, for a machine that collects them; times in UTC (RFC 3339)."""

    def format(self, record: logging.LogRecord) -> str:
        text = super().format(record)  # message, and the calls that led to an error
        message = tokens_masked(record.message)
        fields = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname,
            "logger": record.name,
            "message": message,
            "request": request_id(),
            "process": record.process,
        }
        if record.exc_info:
            fields["error"] = text.removeprefix(message).strip()
        return json.dumps(fields, ensure_ascii=False)


def _chain(error: BaseException) -> list[str]:
    earlier = error.__cause__ or (None if error.__suppress_context__ else error.__context__)
    lines = [] if earlier is None else [*_chain(earlier), "Then, while that was handled:"]
    lines += [line.rstrip("\n") for line in traceback.format_tb(error.__traceback__)]
    return [*lines, described(error)]
