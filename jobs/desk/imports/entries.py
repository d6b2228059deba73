"""Rows of an entries file, read and checked by themselves: pure."""

from collections.abc import Callable
from dataclasses import dataclass, fields
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from . import columns
from .columns import ENTRY_COLUMNS, UnreadableError
from .table import Fault, Row, Table, table_of


@dataclass(frozen=True)
class EntryRow:
    """One bike and rider as the file says it. Empty text or None: the file says nothing."""

    line: int = 0
    group: str = ""
    name: str = ""
    number: str = ""
    make: str = ""
    model: str = ""
    year: int | None = None
    colour: str = ""
    frame: str = ""
    package: str = ""
    bay: str = ""
    complaint: str = ""
    weight_kg: Decimal | None = None
    aim: str = ""
    email: str = ""
    phone: str = ""
    owner: str = ""
    payer: str = ""
    payer_email: str = ""
    street: str = ""
    postcode: str = ""
    city: str = ""
    country: str = ""
    note: str = ""
    ref: str = ""

    @property
    def owner_name(self) -> str:
        return self.owner or self.name

    @property
    def key(self) -> tuple[str, ...]:
        """What makes this row the same row in a later file."""
        if self.ref:
            return ("ref", self.ref)
        if self.email and self.frame:
            return ("email and frame", self.email, self.frame)
        return ("name, number and group", *(w.casefold() for w in self._plain_key))

    @property
    def _plain_key(self) -> tuple[str, str, str]:
        return (self.name, self.number, self.group)


READERS: dict[str, Callable[[str], Any]] = {
    "group": columns.short(4),
    "name": columns.short(120),
    "number": columns.short(8),
    "make": columns.short(60),
    "model": columns.short(60),
    "year": columns.year,
    "colour": columns.short(40),
    "frame": columns.frame_end,
    "package": columns.short(80),
    "bay": columns.short(12),
    "complaint": columns.short(200),
    "weight_kg": columns.weight,
    "aim": columns.short(500),
    "email": columns.email,
    "phone": columns.short(40),
    "owner": columns.short(120),
    "payer": columns.short(120),
    "payer_email": columns.email,
    "street": columns.short(120),
    "postcode": columns.short(20),
    "city": columns.short(80),
    "country": columns.country,
    "note": columns.short(1000),
    "ref": columns.short(60),
}
REQUIRED = tuple(column.name for column in ENTRY_COLUMNS if column.required)


def entries_read(text: str) -> tuple[list[EntryRow], list[Fault], Table]:
    """Every row that can be read, and everything that is wrong with the rest."""
    table = table_of(text, known=READERS, required=REQUIRED)
    rows: list[EntryRow] = []
    faults = list(table.faults)
    for raw in table.rows:
        row, wrong = entry_read(raw)
        faults += wrong
        rows.append(row)
    return rows, faults + _repeated(rows), table


def entry_read(raw: Row) -> tuple[EntryRow, list[Fault]]:
    """One row; a cell that cannot be read is left empty and reported."""
    values: dict[str, Any] = {"line": raw.line}
    faults = []
    for field in fields(EntryRow)[1:]:
        try:
            values[field.name] = READERS[field.name](raw[field.name])
        except UnreadableError as why:
            faults.append(Fault(raw.line, field.name, str(why)))
            continue
        if field.name in REQUIRED and not values[field.name]:
            faults.append(Fault(raw.line, field.name, _("This must be filled in.")))
    return EntryRow(**values), faults


def _repeated(rows: list[EntryRow]) -> list[Fault]:
    seen: dict[tuple[str, ...], int] = {}
    faults = []
    for row in rows:
        if row.key in seen:
            words = _("Same %(key)s as line %(line)d: give each its own ref.")
            faults.append(Fault(row.line, "", words % {"key": row.key[0], "line": seen[row.key]}))
        seen.setdefault(row.key, row.line)
    return faults
