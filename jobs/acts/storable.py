"""What both databases can keep of an act, whatever was sent.

An act is kept as it came, also one that is refused. Some text cannot be kept: PostgreSQL
takes no NUL and no lone half of a surrogate pair, SQLite takes them and no export can write
them. JSON has no infinite number. Here each is replaced by something that can be kept, and
named, so that the act is refused in words.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext as _

MOST_DEPTH = 12
MOST_VALUES = 5000  # a tick of a task with all its readings has a few hundred
LARGEST = 2**63 - 1
LONGEST_WORDS = 2000  # of an answer: a fault may quote what was sent
LONGEST_NAME = 80
INSTEAD = "\N{REPLACEMENT CHARACTER}"


@dataclass
class Storable:
    """``value`` can be kept. ``faults`` says what of it was replaced, a sentence for each."""

    value: Any
    faults: list[str] = field(default_factory=list)


def storable(value: Any) -> Storable:
    """A payload or an answer with all that cannot be kept replaced."""
    found = Storable(None)
    values = iter(range(MOST_VALUES))
    found.value = _kept(value, "", 0, found.faults, values)
    if next(values, None) is None:
        return Storable({}, [_("This holds more than %(n)d values.") % {"n": MOST_VALUES}])
    return found


def storable_text(text: str) -> str:
    """A text without the characters that cannot be kept."""
    return "".join(INSTEAD if _is_unkept(character) else character for character in text)


def _kept(value: Any, name: str, depth: int, faults: list[str], values: Iterator[int]) -> Any:
    if next(values, None) is None:
        return None
    if depth > MOST_DEPTH:
        faults.append(_labelled(name, _("This is nested too deep.")))
        return None
    if isinstance(value, dict):
        return {
            _text(str(key), name, faults): _kept(one, str(key), depth + 1, faults, values)
            for key, one in value.items()
        }
    if isinstance(value, list | tuple):
        return [_kept(one, name, depth + 1, faults, values) for one in value]
    if isinstance(value, str):
        return _text(value, name, faults)
    if isinstance(value, int | float) and not isinstance(value, bool):
        return _number(value, name, faults)
    return value


def _text(text: str, name: str, faults: list[str]) -> str:
    if not any(map(_is_unkept, text)):
        return text
    faults.append(_labelled(name, _("This has a character that cannot be kept: enter it again.")))
    return storable_text(text)


def _number(value: float, name: str, faults: list[str]) -> Any:
    if math.isfinite(value) if isinstance(value, float) else abs(value) <= LARGEST:
        return value
    faults.append(_labelled(name, _("This number is too large.")))
    return f"{value:.6g}" if isinstance(value, float) else hex(value)[:LONGEST_NAME]


def _is_unkept(character: str) -> bool:
    return character == "\0" or "\ud800" <= character <= "\udfff"


def _labelled(name: str, message: str) -> str:
    label = storable_text(name[:LONGEST_NAME]).replace("_", " ")
    return f"{label}: {message}" if label else message
