"""Reading one table of the open form so that everything wrong in it is told at once.

What cannot be read is noted with its place and reading goes on; a person mends it all in
one go, and a form can show each fault at its field.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, TypeVar

from ..refusal import Refused
from ..words import _

Value = TypeVar("Value")
Word = TypeVar("Word", bound=StrEnum)
# A key, or the name of a list, the number in it from 1, and a key: ("suspects", 2, "text").
Place = tuple[str | int, ...]
PARTS = {"suspects": _("suspect"), "steps": _("step"), "stops": _("stop")}


@dataclass(frozen=True)
class Fault:
    """What is wrong, and where in the finding it stands."""

    at: Place
    words: str

    @property
    def placed(self) -> str:
        """With the part of the finding it is about; a key is named by the words themselves."""
        if len(self.at) < 2:
            return self.words
        return _("{part} {n}: {why}", part=PARTS[str(self.at[0])], n=self.at[1], why=self.words)


class Misread(Refused):
    """A finding that cannot be used; ``faults`` holds everything wrong in it."""

    def __init__(self, code: str, faults: list[Fault]) -> None:
        why = faults[0].placed if len(faults) == 1 else " ".join(fault.placed for fault in faults)
        super().__init__(_("Finding {code}: {why}", code=code, why=why))
        self.faults = tuple(faults)


class Row:
    """One table, at ``place``; what is wrong in it goes to ``faults``."""

    def __init__(self, table: object, place: Place, faults: list[Fault]) -> None:
        self.place, self.faults = place, faults
        self.table: Mapping[str, Any] = table if isinstance(table, Mapping) else {}
        if not isinstance(table, Mapping):
            self.wrong("", _("this is no table."))

    def wrong(self, key: str, words: str) -> None:
        self.faults.append(Fault((*self.place, key) if key else self.place, words))

    @contextmanager
    def at(self, key: str) -> Iterator[None]:
        """What is refused in here is noted at ``key``."""
        try:
            yield
        except Refused as refused:
            self.wrong(key, refused.words)

    def only(self, allowed: frozenset[str]) -> None:
        for key in self.table:
            if key not in allowed:
                self.wrong("", _("“{key}” is not known here.", key=key))

    def has(self, key: str) -> bool:
        """Whether something is there; an empty text or list is nothing."""
        value = self.table.get(key)
        return bool(value.strip()) if isinstance(value, str) else value not in (None, [])

    def needs(self, *keys: str) -> None:
        for key in keys:
            if not self.has(key):
                self.wrong(key, _("“{key}” is missing.", key=key))

    def text(self, key: str) -> str:
        value = self.table.get(key, "")
        if isinstance(value, str):
            return value.strip()
        self.wrong(key, _("“{key}” must be words.", key=key))
        return ""

    def flag(self, key: str) -> bool:
        return self.table.get(key, False) is True

    def one(self, key: str, read: Callable[[Any], Value], default: Value) -> Value:
        """What is read of a key; ``default`` where there is nothing, or nothing usable."""
        if self.has(key):
            with self.at(key):
                return read(self.table[key])
        return default

    def each(self, key: str, read: Callable[[Any], Value]) -> tuple[Value, ...]:
        """What is read of every member of a list, without those that cannot be."""
        found = []
        for member in self._list(key):
            with self.at(key):
                found.append(read(member))
        return tuple(found)

    def rows(self, key: str) -> list["Row"]:
        return [
            Row(table, (*self.place, key, number), self.faults)
            for number, table in enumerate(self._list(key), 1)
        ]

    def _list(self, key: str) -> list[Any]:
        value = self.table.get(key, [])
        if isinstance(value, list):
            return value
        self.wrong(key, _("“{key}” must be a list.", key=key))
        return []


def word_of(kind: type[Word], what: str) -> Callable[[Any], Word]:
    """A reader of one word of ``kind``; what it accepts is named where it refuses."""

    def read(word: Any) -> Word:
        if word in set(kind):
            return kind(word)
        raise Refused(
            _(
                "“{word}” is no {what}; it is one of {accepted}.",
                word=str(word),
                what=what,
                accepted=", ".join(kind),
            )
        )

    return read


def in_order(kind: type[Word], words: tuple[Word, ...]) -> tuple[Word, ...]:
    """Words whose order says nothing, in the order of their kind, each once."""
    return tuple(word for word in kind if word in words)
