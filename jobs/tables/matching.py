"""Which column of a list holds which field: by its heading, else by what its cells look like.

Pure. A heading is compared without case, accents, punctuation and what stands in brackets:
"E-Mail *", "Gewicht (kg)". It must be one of a field's headings as a whole: "emergency
phone" is not "phone". What is not sure is left out, for a person to choose.
"""

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

HEADER_WITHIN = 20  # rows with words above the headings are passed over
SAMPLES = 3
LOOKS_ALIKE = 0.8  # of a column's cells, so many must look like the field's

Lines = list[tuple[int, list[str]]]
Formats = Mapping[str, Mapping[str, str]]

# How a column was matched.
BY_NAME, BY_CELLS, REMEMBERED, CHOSEN = "name", "cells", "remembered", "chosen"


@dataclass(frozen=True)
class ListField:
    """Something a list can say. ``label`` and ``help`` are words for a person.

    ``headings``: as people write them, in any language. ``looks``: a pattern of its cells
    that no other field's cells match. ``gives``: fields that follow from this one, such as
    the name from first and last name.
    """

    name: str
    label: Any
    headings: tuple[str, ...] = ()
    required: bool = False
    looks: str = ""
    gives: tuple[str, ...] = ()
    help: Any = ""
    example: str = ""


@dataclass(frozen=True)
class FileColumn:
    """One column of a file. ``field``: "" if it is not used. ``how``: one of the words above."""

    index: int
    heading: str
    key: str  # the heading as it is remembered; "" if there is none
    field: str = ""
    how: str = ""
    samples: tuple[str, ...] = ()


@dataclass(frozen=True)
class Matching:
    header_line: int = 1
    columns: tuple[FileColumn, ...] = ()
    # Headings that name one field twice: nothing tells which column is meant.
    twice: tuple[str, ...] = ()

    def of(self, name: str) -> list[FileColumn]:
        return [column for column in self.columns if column.field == name]

    @property
    def used(self) -> list[FileColumn]:
        return [column for column in self.columns if column.field]

    @property
    def unused(self) -> list[FileColumn]:
        return [c for c in self.columns if not c.field and (c.heading or c.samples)]

    @property
    def unsure(self) -> list[FileColumn]:
        return [column for column in self.columns if column.how == BY_CELLS]


@dataclass(frozen=True)
class Choice:
    """What a person chose: the line of the headings, and fields by the number of the column."""

    header_line: int | None = None
    fields: Mapping[int, str] | None = field(default=None)


def plain_heading(heading: str) -> str:
    """A heading as it is compared.

    >>> plain_heading("E-Mail *"), plain_heading("Gewicht (kg)"), plain_heading("Prénom")
    ('e mail', 'gewicht', 'prenom')
    """
    bare = re.sub(r"\([^)]*\)|\[[^\]]*\]", " ", heading)
    parts = unicodedata.normalize("NFKD", (bare if bare.strip() else heading).casefold())
    letters = "".join(c for c in parts if not unicodedata.combining(c))
    return " ".join(re.sub(r"[\W_]+", " ", letters).split())


def headings_key(keys: Iterable[str]) -> str:
    """The same for the same set of headings, whatever their order."""
    return " | ".join(sorted(keys))


def match(
    lines: Lines, fields: Iterable[ListField], *, formats: Formats | None = None,
    choice: Choice | None = None,
) -> Matching:  # fmt: skip
    """How the columns of a list are to be read: as chosen, else as remembered, else by guess.

    ``lines`` are the rows of ``rows.rows_of``, of which there is at least one.
    """
    fields, formats, choice = list(fields), formats or {}, choice or Choice()
    names = {plain_heading(h): f.name for f in fields for h in (*f.headings, f.name)}
    at = _header_index(lines, names, formats, choice.header_line)
    line, cells = lines[at]
    width = max(len(row) for _line, row in lines[at:])
    bare = _columns(cells, [row for _line, row in lines[at + 1 :]], width)
    if choice.fields is not None:
        chosen = [replace(c, field=choice.fields.get(c.index, ""), how=CHOSEN) for c in bare]
        return Matching(line, tuple(chosen), _chosen_twice(chosen))
    known = formats.get(headings_key(c.key for c in bare if c.key))
    if known:
        remembered = [replace(c, field=known.get(c.key, ""), how=REMEMBERED) for c in bare]
        return Matching(line, tuple(remembered))
    named, twice = _by_name(bare, names)
    return Matching(line, tuple(_by_cells(named, lines[at + 1 :], fields)), twice)


def _header_index(
    lines: Lines, names: Mapping[str, str], formats: Formats, chosen: int | None
) -> int:
    """The chosen row; else the first with remembered headings; else that with the most known."""
    if chosen is not None:
        return next((i for i, (line, _cells) in enumerate(lines) if line == chosen), 0)
    known = []
    for i, (_line, cells) in enumerate(lines[:HEADER_WITHIN]):
        keys = [c.key for c in _columns(cells, [], len(cells)) if c.key]
        if headings_key(keys) in formats:
            return i
        known.append(len({names[key] for key in keys if key in names}))
    best = max(range(len(known)), key=lambda i: (known[i], -i))
    return best if known[best] > 1 else 0


def _columns(header: list[str], rows: list[list[str]], width: int) -> list[FileColumn]:
    columns, seen = [], dict[str, int]()
    for index in range(width):
        heading = header[index].strip() if index < len(header) else ""
        key = plain_heading(heading)
        if key:
            seen[key] = seen.get(key, 0) + 1
            key = key if seen[key] == 1 else f"{key} #{seen[key]}"
        cells = dict.fromkeys(r[index].strip() for r in rows if index < len(r) and r[index].strip())
        columns.append(FileColumn(index, heading, key, samples=tuple(cells)[:SAMPLES]))
    return columns


def _by_name(
    columns: list[FileColumn], names: Mapping[str, str]
) -> tuple[list[FileColumn], tuple[str, ...]]:
    """The first column that names a field has it; the same heading again is a question."""
    taken: dict[str, FileColumn] = {}
    found, twice = [], []
    for column in columns:
        name = names.get(column.key.split(" #")[0], "")
        if name and name not in taken:
            taken[name] = column = replace(column, field=name, how=BY_NAME)
        elif name and plain_heading(taken[name].heading) == plain_heading(column.heading):
            twice.append(column.heading)
        found.append(column)
    return found, tuple(twice)


def _by_cells(columns: list[FileColumn], lines: Lines, fields: list[ListField]) -> list[FileColumn]:
    """Columns whose heading says nothing, by cells that only one field's cells look like."""
    found = list(columns)
    for wanted in fields:
        if not wanted.looks or any(column.field == wanted.name for column in found):
            continue
        alike = [c for c in found if not c.field and _look_like(c, lines, wanted.looks)]
        if len(alike) == 1:
            found[alike[0].index] = replace(alike[0], field=wanted.name, how=BY_CELLS)
    return found


def _look_like(column: FileColumn, lines: Lines, pattern: str) -> bool:
    cells = [row[column.index].strip() for _line, row in lines if column.index < len(row)]
    filled = [cell for cell in cells if cell]
    alike = sum(re.fullmatch(pattern, cell, re.IGNORECASE) is not None for cell in filled)
    return bool(filled) and alike >= LOOKS_ALIKE * len(filled)


def _chosen_twice(columns: list[FileColumn]) -> tuple[str, ...]:
    names = [column.field for column in columns if column.field]
    return tuple(c.heading for c in columns if c.field and names.count(c.field) > 1)[1:]
