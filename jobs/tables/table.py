"""The rows of a list by field name, and what is wrong with the list as a whole."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from .matching import Choice, Formats, Lines, ListField, Matching, match
from .rows import MOST_COLUMNS, Unreadable, rows_of, too_wide

MOST_ROWS = 2000


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong, where, and in whose words.

    ``column``: the file's own heading. ``about``: who or what the row is, for a person.
    """

    line: int
    column: str
    words: str
    about: str = ""


@dataclass(frozen=True)
class Row:
    line: int
    cells: dict[str, str]

    def __getitem__(self, column: str) -> str:
        return self.cells.get(column, "")


@dataclass(frozen=True)
class Table:
    matching: Matching = field(default_factory=Matching)
    rows: tuple[Row, ...] = ()
    faults: list[Fault] = field(default_factory=list)

    def heading(self, name: str) -> str:
        """The file's own heading of a field; the field's name if no column holds it."""
        return ", ".join(c.heading or c.key for c in self.matching.of(name)) or name


def table_of(
    text: str, *, fields: Iterable[ListField], formats: Formats | None = None,
    choice: Choice | None = None, given: Iterable[str] = (), most_rows: int | None = MOST_ROWS,
) -> Table:  # fmt: skip
    """Rows by field. Separator, line ends, blank lines, headings in any language: all are taken.

    ``formats``: matchings remembered, ``choice``: what a person chose; see ``matching.match``.
    ``given``: fields that need no column, because the same is chosen for all rows.
    ``most_rows``: how many one file may have; None: any number.
    """
    fields = list(fields)
    if "\x00" in text:
        return _refused(1, _("This is not a list: save the sheet as XLSX, ODS or CSV."))
    try:
        lines = rows_of(text)
    except Unreadable as why:
        return _refused(why.line, _("A quotation mark is opened here and not closed."))
    if not lines:
        return _refused(1, _("The file is empty."))
    if wide := too_wide(lines):
        words = _("This row has more than %(n)d cells, and a list may have no more.")
        return _refused(wide, words % {"n": MOST_COLUMNS})
    matching = match(lines, fields, formats=formats, choice=choice)
    body = [(line, cells) for line, cells in lines if line > matching.header_line]
    faults = _heading_faults(matching, fields, set(given))
    if most_rows is not None and len(body) > most_rows:
        words = _("%(n)d rows are more than the %(most)d one file may have.")
        faults.append(Fault(matching.header_line, "", words % {"n": len(body), "most": most_rows}))
    if not body:
        words = _("The file has a row of headings but no rows below it.")
        faults.append(Fault(matching.header_line, "", words))
    if faults:
        return Table(matching, (), faults)
    width = next(len(cells) for line, cells in lines if line == matching.header_line)
    return Table(matching, *_rows(matching, body, width))


def _rows(matching: Matching, body: Lines, width: int) -> tuple[tuple[Row, ...], list[Fault]]:
    """A row with more cells than the headings' row: a separator inside a text moved the rest."""
    faults, rows = [], []
    for line, cells in body:
        if any(cell.strip() for cell in cells[width:]):
            words = _("This row has more cells than there are headings.")
            faults.append(Fault(line, "", words))
        read = {c.field: cells[c.index].strip() for c in matching.used if c.index < len(cells)}
        if any(read.values()):
            rows.append(Row(line, read))
    return tuple(rows), faults


def _refused(line: int, words: str) -> Table:
    return Table(faults=[Fault(line, "", words)])


def _heading_faults(matching: Matching, fields: list[ListField], given: set[str]) -> list[Fault]:
    """Only what a person has to choose: what is needed and not found, or found twice."""
    faults = [
        Fault(matching.header_line, heading, _("Two columns are for the same: choose one."))
        for heading in matching.twice
    ]
    present = {column.field for column in matching.used} | given
    present |= {given for f in fields if f.name in present for given in f.gives}
    faults += [
        Fault(matching.header_line, str(f.label), _("No column is matched to this yet."))
        for f in fields
        if f.required and f.name not in present
    ]
    return faults
