"""What importing a file would change, shown before it is written."""

import hashlib
import json
from dataclasses import astuple, dataclass, field
from enum import StrEnum
from typing import Any, Generic, TypeVar

from jobs.tables.matching import Matching
from jobs.tables.table import Fault


class Verb(StrEnum):
    NEW = "new"
    CHANGED = "changed"
    SAME = "same"


@dataclass(frozen=True)
class ImportDifference:
    what: str
    was: str
    becomes: str


@dataclass
class PreviewLine:
    """One row of the file against what the day has. Notices inform; they refuse nothing."""

    line: int
    title: str
    verb: Verb
    differences: list[ImportDifference] = field(default_factory=list)
    notices: list[str] = field(default_factory=list)


AnyPreviewLine = TypeVar("AnyPreviewLine", bound=PreviewLine)


@dataclass
class Preview(Generic[AnyPreviewLine]):
    lines: list[AnyPreviewLine] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    gone: list[str] = field(default_factory=list)
    matching: Matching = field(default_factory=Matching)
    makes_asked: list[str] = field(default_factory=list)  # first words that may be one make

    @property
    def may_be_written(self) -> bool:
        return not self.faults

    def of(self, verb: Verb) -> list[AnyPreviewLine]:
        return [line for line in self.lines if line.verb == verb]

    @property
    def new(self) -> list[AnyPreviewLine]:
        return self.of(Verb.NEW)

    @property
    def changed(self) -> list[AnyPreviewLine]:
        return self.of(Verb.CHANGED)

    @property
    def same(self) -> list[AnyPreviewLine]:
        return self.of(Verb.SAME)

    @property
    def noticed(self) -> list[AnyPreviewLine]:
        return [line for line in self.lines if line.notices]

    @property
    def fingerprint(self) -> str:
        """The same for two previews that would write the same."""
        seen = [(x.line, x.title, x.verb, [astuple(d) for d in x.differences]) for x in self.lines]
        return hashlib.sha256(json.dumps([seen, self.gone]).encode()).hexdigest()

    def record(self) -> dict[str, Any]:
        """What is kept of an import: its counts, and every difference it wrote."""
        counts = {verb.value: len(self.of(verb)) for verb in Verb}
        changed = {x.title: [astuple(d) for d in x.differences] for x in self.changed}
        return {**counts, "gone": self.gone, "differences": changed}

    @property
    def writes(self) -> int:
        return len(self.new) + len(self.changed)


def in_order(faults: list[Fault]) -> list[Fault]:
    return sorted(faults, key=lambda fault: (fault.line, fault.column))
