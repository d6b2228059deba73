"""Read one table of the open form, and collect every fault in it.

Reading goes on after a fault, so that a person can correct all of them together and a form can
show each one at its field.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, TypeVar

from ..refusal import Refused
from ..words import Words, _

Value = TypeVar("Value")
Word = TypeVar("Word", bound=StrEnum)
# A key, or the name of a list, the number in it from 1, and a key: ("suspects", 2, "text").
KeyPath = tuple[str | int, ...]
PARTS = {"suspects": _("suspect"), "steps": _("step"), "stops": _("stop")}


@dataclass(frozen=True)
class FindingFault:
    """What is wrong, and its place in the finding."""

    at: KeyPath
    words: str

    @property
    def placed(self) -> str:
        """The words, with the part of the finding; a key is already named in the words."""
        if len(self.at) < 2:
            return self.words
        return _("{part} {n}: {why}", part=PARTS[str(self.at[0])], n=self.at[1], why=self.words)


class InvalidFinding(Refused):
    """A finding that cannot be used, with all its faults."""

    def __init__(self, code: str, faults: list[FindingFault]) -> None:
        why = faults[0].placed if len(faults) == 1 else " ".join(fault.placed for fault in faults)
        super().__init__(_("Finding {code}: {why}", code=code, why=why))
        self.faults = tuple(faults)


class TableReader:
    """One table, at ``place``. Its faults are added to ``faults``."""

    def __init__(self, table: object, place: KeyPath, faults: list[FindingFault]) -> None:
        self.place, self.faults = place, faults
        self.table: Mapping[str, Any] = table if isinstance(table, Mapping) else {}
        if not isinstance(table, Mapping):
            self.wrong("", _("this is no table."))

    def wrong(self, key: str, words: str) -> None:
        self.faults.append(FindingFault((*self.place, key) if key else self.place, words))

    @contextmanager
    def at(self, key: str) -> Iterator[None]:
        """Add a fault at ``key`` for what is refused inside."""
        try:
            yield
        except Refused as refused:
            self.wrong(key, refused.words)

    def only(self, allowed: frozenset[str]) -> None:
        for key in self.table:
            if key not in allowed:
                self.wrong("", _("“{key}” is not known here.", key=key))

    def has(self, key: str) -> bool:
        """Whether the key has a value; an empty text or list is none."""
        value = self.table.get(key)
        return bool(value.strip()) if isinstance(value, str) else value not in (None, [])

    def needs(self, *keys: str) -> None:
        for key in keys:
            if not self.has(key):
                self.wrong(key, _("“{key}” is missing.", key=key))

    def text(self, key: str) -> str:
        value = self.table.get(key, "")
        if isinstance(value, str):
            return Words(value.strip())
        self.wrong(key, _("“{key}” must be words.", key=key))
        return ""

    def flag(self, key: str) -> bool:
        return self.table.get(key, False) is True

    def one(self, key: str, read: Callable[[Any], Value], default: Value) -> Value:
        """The value of a key; ``default`` if there is none that can be used."""
        if self.has(key):
            with self.at(key):
                return read(self.table[key])
        return default

    def each(self, key: str, read: Callable[[Any], Value]) -> tuple[Value, ...]:
        """The values of a list, without those that cannot be read."""
        found = []
        for member in self._list(key):
            with self.at(key):
                found.append(read(member))
        return tuple(found)

    def rows(self, key: str) -> list["TableReader"]:
        return [
            TableReader(table, (*self.place, key, number), self.faults)
            for number, table in enumerate(self._list(key), 1)
        ]

    def _list(self, key: str) -> list[Any]:
        value = self.table.get(key, [])
        if isinstance(value, list):
            return value
        self.wrong(key, _("“{key}” must be a list.", key=key))
        return []


def word_of(kind: type[Word], what: str) -> Callable[[Any], Word]:
    """A reader for one word of ``kind``. Its refusal names the accepted words."""

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
    """The words in the order of their kind, each once: their own order has no meaning."""
    return tuple(word for word in kind if word in words)
