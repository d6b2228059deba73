"""Rows of an entries file, read and checked by themselves: pure."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, fields, replace
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from jobs.tables.matching import Choice, Formats
from jobs.tables.table import Fault, Row, Table, table_of

from . import columns
from .columns import UnreadableError
from .fields import ENTRY_FIELDS
from .makes import PlainMake, make_and_model, plain_makes


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
    def about(self) -> str:
        return f"{self.number} {self.name}".strip()

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
    "group": columns.group,
    "name": columns.short(120),
    "number": columns.start_number,
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
REQUIRED = tuple(field.name for field in ENTRY_FIELDS if field.required)


def entries_read(
    text: str, *, formats: Formats | None = None, choice: Choice | None = None, group: str = "",
    makes: Iterable[str] = (),
) -> tuple[list[EntryRow], list[Fault], Table]:  # fmt: skip
    """Every row that can be read, and everything that is wrong with the rest.

    ``group``: the run group of rows that name none. ``makes``: those known, for cells that hold
    make and model.
    """
    known_makes = plain_makes(makes)
    table = table_of(
        text, fields=ENTRY_FIELDS, formats=formats, choice=choice, given=["group"] if group else []
    )
    rows: list[EntryRow] = []
    faults = list(table.faults)
    for raw in table.rows:
        cells = joined(raw.cells, known_makes)
        row, wrong = entry_read(Row(raw.line, {**cells, "group": cells.get("group") or group}))
        said = [_in_the_files_words(fault, table, cells) for fault in wrong]
        faults += dict.fromkeys(said)  # one empty column may stand for make and model
        rows.append(row)
    return rows, faults + _repeated(rows), table


def joined(cells: dict[str, str], makes: Iterable[PlainMake] = ()) -> dict[str, str]:
    """A name from its two columns, make and model from one: what is given whole stands.

    Beside a first name, a column “Name” holds the last name, as German lists have it.
    """
    first, last, whole = (cells.get(name, "") for name in ("first_name", "last_name", "name"))
    if first and not last and first.casefold() not in whole.casefold():
        whole, last = "", whole
    make, model = make_and_model(cells.get("bike", ""), makes)
    return {
        **cells,
        "name": whole or f"{first} {last}".strip(),
        "make": cells.get("make") or make,
        "model": cells.get("model") or model or ("" if cells.get("make") else make),
    }


def _in_the_files_words(fault: Fault, table: Table, cells: dict[str, str]) -> Fault:
    parts = {"name": ("name", "first_name", "last_name")}.get(fault.column, (fault.column, "bike"))
    held = next((name for name in parts if table.matching.of(name)), fault.column)
    about = " ".join(cells[name] for name in ("number", "name") if cells.get(name))
    return replace(fault, column=table.heading(held), about=about)


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
            words = _("Same %(key)s as row %(line)d: give each its own ref.")
            said = words % {"key": row.key[0], "line": seen[row.key]}
            faults.append(Fault(row.line, "", said, row.about))
        seen.setdefault(row.key, row.line)
    return faults
