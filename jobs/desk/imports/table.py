"""Reading a spreadsheet's CSV as people really save it: pure, and never a guess in silence."""

import csv
import io
import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

MOST_ROWS = 2000
DELIMITERS = ",;\t"


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong, where, and in whose words. Line 1 is the header."""

    line: int
    column: str
    words: str


@dataclass(frozen=True)
class Row:
    line: int
    cells: dict[str, str]

    def __getitem__(self, column: str) -> str:
        return self.cells.get(column, "")


@dataclass(frozen=True)
class Table:
    columns: tuple[str, ...] = ()
    rows: tuple[Row, ...] = ()
    faults: list[Fault] = field(default_factory=list)


def text_of(content: bytes) -> str:
    """The file's text: UTF-8 or UTF-16 by its mark, else UTF-8, else Windows-1252."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return content.decode("utf-16", errors="replace")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", errors="replace")


def table_of(text: str, *, known: Iterable[str], required: Iterable[str]) -> Table:
    """Rows by column name. Separator, line ends, blank lines, the header's case: all are taken."""
    text = text.lstrip("\ufeff")
    if "\x00" in text:
        return _refused(1, _("This is not a CSV file. Save the sheet as CSV and try again."))
    lines = _lines(text)
    if not lines:
        return _refused(1, _("The file is empty."))
    header_line, header = lines[0]
    columns = tuple(_name(cell) for cell in header)
    faults = _header_faults(header_line, columns, set(known), list(required))
    if len(lines) - 1 > MOST_ROWS:
        words = _("%(n)d rows are more than the %(most)d one file may have.")
        faults.append(Fault(header_line, "", words % {"n": len(lines) - 1, "most": MOST_ROWS}))
    if faults:
        return Table(columns, (), faults)
    rows = []
    for line, cells in lines[1:]:
        if any(cell.strip() for cell in cells[len(columns) :]):
            words = _("This row has more cells than the header has columns.")
            faults.append(Fault(line, "", words))
        rows.append(Row(line, dict(zip(columns, (c.strip() for c in cells), strict=False))))
    if not rows:
        faults.append(Fault(header_line, "", _("The file has a header but no rows.")))
    return Table(columns, tuple(rows), faults)


def _refused(line: int, words: str) -> Table:
    return Table(faults=[Fault(line, "", words)])


def _lines(text: str) -> list[tuple[int, list[str]]]:
    """Rows that are not blank, each with the line of the file it ends on."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text))
    return [(reader.line_num, cells) for cells in reader if any(c.strip() for c in cells)]


def _delimiter(text: str) -> str:
    """The separator the header uses most, outside quotes."""
    header = next((line for line in text.splitlines() if line.strip()), "")
    bare = re.sub(r'"[^"]*"', "", header)
    return max(DELIMITERS, key=bare.count)


def _name(cell: str) -> str:
    return re.sub(r"[\s_-]+", "_", cell.strip().lower())


def _header_faults(
    line: int, columns: tuple[str, ...], known: set[str], required: list[str]
) -> list[Fault]:
    faults = [
        Fault(
            line,
            column,
            _("There is no column of this name. Known are: %(names)s.")
            % {"names": ", ".join(sorted(known))},
        )
        for column in columns
        if column and column not in known
    ]
    faults += [
        Fault(line, column, _("This column appears twice."))
        for column in sorted({c for c in columns if c and columns.count(c) > 1})
    ]
    faults += [
        Fault(line, column, _("This column is missing."))
        for column in required
        if column not in columns
    ]
    return faults
