"""Opens one spreadsheet file and prints its sheets as JSON: a program of its own.

    python jobs/tables/sheet_reader.py < file

A file that was made to harm, or one cell in the last row of a sheet, can ask for any amount
of memory, and the library then ends its process. So ``spreadsheets`` runs this one, which
holds nothing else, with limits of memory and of processor time.
"""

import io
import json
import sys
from datetime import date, datetime, time, timedelta
from typing import Any

MOST_SHEETS = 20
MOST_ROWS = 5000
MOST_COLUMNS = 200
MOST_CHARACTERS = 2_000_000
MEMORY_BYTES = 1 << 30
PROCESSOR_S = 10


def cell_text(value: Any) -> str:
    """A cell as a person would have typed it: whole numbers without a point, ISO dates.

    >>> cell_text(21.0), cell_text(71.5), cell_text(datetime(2026, 5, 31, 9, 5))
    ('21', '71.5', '2026-05-31 09:05')
    """
    if isinstance(value, bool):
        return "1" if value else "0"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    if isinstance(value, datetime):
        bare = value.time() == time.min
        return value.date().isoformat() if bare else f"{value:%Y-%m-%d %H:%M}"
    if isinstance(value, time | timedelta):
        return _clock(value)
    if isinstance(value, date):
        return value.isoformat()
    return " ".join(str(value).split())


def _clock(value: time | timedelta) -> str:
    """A time of day to the minute: spreadsheets hold it as a fraction, 09:05 as 09:04:59.98."""
    if isinstance(value, timedelta):
        seconds = value.total_seconds()
    else:
        seconds = value.hour * 3600 + value.minute * 60 + value.second + value.microsecond / 1e6
    minutes = round(seconds / 60)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def read(content: bytes) -> dict[str, Any]:
    """``{"sheets": [{"name", "rows", "height"}]}``, or ``{"fault": why it cannot be read}``.

    ``height``: how many rows the sheet really has, also where ``rows`` holds the first only.
    """
    import python_calamine

    try:
        book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(content))
        names = [
            sheet.name
            for sheet in book.sheets_metadata
            if sheet.typ == python_calamine.SheetTypeEnum.WorkSheet
            and sheet.visible == python_calamine.SheetVisibleEnum.Visible
        ]
        return {"sheets": [_sheet(book, name) for name in names[:MOST_SHEETS]]}
    except python_calamine.PasswordError:
        return {"fault": "password"}
    except python_calamine.CalamineError as error:
        return {"fault": "unreadable", "why": str(error)[:200]}


def _sheet(book: Any, name: str) -> dict[str, Any]:
    sheet = book.get_sheet_by_name(name)
    rows, left = [], MOST_CHARACTERS
    for cells in sheet.to_python(skip_empty_area=False, nrows=MOST_ROWS):
        row = [cell_text(cell) for cell in cells[:MOST_COLUMNS]]
        left -= sum(len(cell) + 3 for cell in row)
        if left < 0:
            return {"name": name, "rows": [], "height": -1}
        rows.append(row)
    return {"name": name, "rows": rows, "height": sheet.end[0] + 1 if sheet.end else 0}


def limit() -> None:
    """Bound this process, where the system can: a limit it refuses is left out."""
    try:
        import resource
    except ImportError:
        return
    for what, most in (
        (resource.RLIMIT_AS, MEMORY_BYTES),
        (resource.RLIMIT_CPU, PROCESSOR_S),
        (resource.RLIMIT_CORE, 0),
    ):
        try:
            resource.setrlimit(what, (most, most))
        except (ValueError, OSError):
            continue


if __name__ == "__main__":
    limit()
    json.dump(read(sys.stdin.buffer.read()), sys.stdout)
