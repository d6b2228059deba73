"""CSV as programs and people write it: any usual encoding and separator. Pure."""

import csv
import io
import re

DELIMITERS = ",;\t"
LINES_SEEN = 20
MOST_COLUMNS = 200  # each is matched to every field; of a spreadsheet's no more are read either
# The first line by which Excel tells itself the separator; it is none of the list's rows.
SAID = re.compile(r"\s*\"?sep=(.)\"?[;,\t]*[ \t]*(?=\r|\n|$)", re.IGNORECASE)


class Unreadable(ValueError):
    """A cell has no end: usually a quotation mark that is not closed. ``line``: where it began."""

    def __init__(self, line: int) -> None:
        super().__init__(f"a cell of line {line} has no end")
        self.line = line


def text_of(content: bytes) -> str:
    """The file's text: UTF-8 or UTF-16 by its mark, else UTF-8, else Windows-1252."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return content.decode("utf-16", errors="replace")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", errors="replace")


def rows_of(text: str) -> list[tuple[int, list[str]]]:
    """Rows that are not blank, each with the line of the file it ends on (1 is the first).

    Raises ``Unreadable`` for a cell of more than 131,072 characters.
    """
    text = text.lstrip("\ufeff")
    said = SAID.match(text)
    text = text[said.end() :] if said else text  # its line end stays, and is counted
    delimiter = said[1] if said else delimiter_of(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    found, line = [], 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                found.append((reader.line_num, cells))
            line = reader.line_num + 1
    except csv.Error as error:
        raise Unreadable(line) from error
    return found


def too_wide(lines: list[tuple[int, list[str]]]) -> int | None:
    """The first line with more cells than are read."""
    return next((line for line, cells in lines if len(cells) > MOST_COLUMNS), None)


def delimiter_of(text: str) -> str:
    """The separator that stands in most of the first lines, outside quotes; else most often.

    >>> delimiter_of('"one, two";three')
    ';'
    """
    first = [line for line in text.splitlines() if line.strip()][:LINES_SEEN]
    bare = [re.sub(r'"[^"]*"', "", line) for line in first]

    def told(delimiter: str) -> tuple[int, int]:
        counts = [n for line in bare if (n := line.count(delimiter))]
        return len(counts), counts[0] if counts else 0

    return max(DELIMITERS, key=told)


def column_name(cell: str) -> str:
    """A heading as columns are named: lower case, one underscore where words are parted.

    >>> column_name(" Lap Time"), column_name("frame-last4")
    ('lap_time', 'frame_last4')
    """
    return re.sub(r"[\s_-]+", "_", cell.strip().lower())
