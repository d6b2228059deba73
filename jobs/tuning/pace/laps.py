"""Lap times as people paste them, or as a CSV with a heading."""

import re
from dataclasses import dataclass

from jobs.tables.rows import Unreadable, column_name, rows_of

from ..argument_checks import checked
from ..refusal import Refused
from ..words import Words, _

MARKS = {
    "in": "in", "out": "out", "pit": "in", "flag": "flagged", "flagged": "flagged",
    "red": "flagged", "yellow": "flagged",
}  # fmt: skip
TIME_COLUMNS = ("lap_time", "laptime", "time", "seconds", "lap")
MARK_COLUMNS = ("mark", "note", "flag", "status", "type", "remark")
SHORTEST_S, LONGEST_S = 15.0, 1200.0
SEPARATORS = re.compile(r"[\s;|]+|,\s+")
_CLOCK = re.compile(r"^(?:(?:(\d+):)?(\d{1,2}):)?(\d+)(?:[.,](\d{1,4}))?$")


@checked
@dataclass(frozen=True)
class Lap:
    """One lap in seconds; ``mark`` is "in", "out", "flagged" or empty."""

    seconds: float
    mark: str = ""


@checked
def parse_laps(text: str) -> tuple[Lap, ...]:
    """Laps from pasted text or CSV: ``1:43.4``, ``103,4``, ``1:55.0 out``, ``3; 1:43.4``.

    One or several laps stand on a line, each with its mark beside it. Where a time with minutes
    or decimals stands on a line, whole numbers on it are lap numbers. A CSV is known by a
    heading with a column named like "lap time" or "time"; a column like "mark" or "note" may
    hold in, out, flagged. Refused with the first line at fault and what stood there.

    >>> parse_laps("1:55.0 out\\n1:43.4\\n103,2")
    (Lap(seconds=115.0, mark='out'), Lap(seconds=103.4, mark=''), Lap(seconds=103.2, mark=''))
    >>> [lap.seconds for lap in parse_laps("1 1:43.4\\n2 1:42.5")]
    [103.4, 102.5]
    """
    laps, faults = laps_and_faults(text)
    if faults:
        raise Refused(faults[0])
    return laps


@checked
def laps_and_faults(text: str) -> tuple[tuple[Lap, ...], tuple[Words, ...]]:
    """The laps as ``parse_laps`` reads them, and every fault of the text in words.

    >>> laps, faults = laps_and_faults("1:43.4\\nfast")
    >>> len(laps), len(faults)
    (1, 1)
    """
    lines = [(n, line) for n, line in enumerate(text.splitlines(), start=1) if line.strip()]
    if not lines:
        return (), (_("No lap times were given: paste one to a line, like 1:43.4."),)
    try:
        names = [column_name(cell) for _line, cells in rows_of(lines[0][1]) for cell in cells]
        if any(name in TIME_COLUMNS for name in names):
            return _from_csv(names, rows_of(text)[1:])
    except Unreadable as why:
        words = _("Line {number}: a quotation mark is opened and not closed.", number=why.line)
        return (), (words,)
    laps: list[Lap] = []
    faults: list[Words] = []
    for number, line in lines:
        found, wrong = _from_line(line, number)
        laps += found
        faults += wrong
    return tuple(laps), tuple(faults)


@checked
def lap_seconds(text: str) -> float | None:
    """``1:43.4`` or ``103.4`` in seconds; None where it is not a time.

    >>> lap_seconds("1:43,4"), lap_seconds("fast")
    (103.4, None)
    """
    match = _CLOCK.match(text.strip().strip('"'))
    if not match:
        return None
    hours, minutes, seconds, part = match.groups()
    whole = 3600 * int(hours or 0) + 60 * int(minutes or 0) + int(seconds)
    return whole + (int(part) / 10 ** len(part) if part else 0.0)


def _from_line(line: str, number: int) -> tuple[list[Lap], list[Words]]:
    """The laps of one line, and what on it is neither a lap, a lap number nor a mark.

    Words without a digit say nothing, apart from the marks.
    """
    words = [word.strip('"#,') for word in SEPARATORS.split(line.strip())]
    numbered = any(not word.isdecimal() and lap_seconds(word) is not None for word in words)
    laps: list[Lap] = []
    faults: list[Words] = []
    mark = ""  # in front of the first lap
    for word in words:
        seconds = lap_seconds(word)
        if seconds is not None and not (numbered and word.isdecimal()):
            laps.append(Lap(seconds, "" if laps else mark))
            faults += _impossible(seconds, number)
        elif word.lower() in MARKS and laps:
            laps[-1] = Lap(laps[-1].seconds, MARKS[word.lower()])
        elif word.lower() in MARKS:
            mark = MARKS[word.lower()]
        elif seconds is None and any(letter.isdigit() for letter in word):
            faults.append(_not_a_lap(word, number))
    if not laps and not faults:
        faults.append(_not_a_lap(line.strip(), number))
    return laps, faults


def _not_a_lap(text: str, number: int) -> Words:
    return _(
        'Line {number}: "{line}" is not a lap time; write 1:43.4 or 103.4.',
        number=number,
        line=text[:40],
    )


def _from_csv(
    names: list[str], rows: list[tuple[int, list[str]]]
) -> tuple[tuple[Lap, ...], tuple[Words, ...]]:
    time = next(names.index(name) for name in TIME_COLUMNS if name in names)
    mark = next((names.index(name) for name in MARK_COLUMNS if name in names), None)
    laps: list[Lap] = []
    faults: list[Words] = []
    for line, cells in rows:
        seconds = lap_seconds(cells[time]) if time < len(cells) else None
        if seconds is None:
            text = ", ".join(cells)[:40]
            faults.append(
                _('Line {number}: "{line}" has no lap time in its column.', number=line, line=text)
            )
            continue
        word = cells[mark].strip().lower() if mark is not None and mark < len(cells) else ""
        laps.append(Lap(seconds, MARKS.get(word, "")))
        faults += _impossible(seconds, line)
    if not laps and not faults:
        faults.append(_("The list has a heading and no laps under it."))
    return tuple(laps), tuple(faults)


def _impossible(seconds: float, number: int) -> list[Words]:
    if SHORTEST_S <= seconds <= LONGEST_S:
        return []
    return [
        _(
            "Line {number}: {seconds:g} s is no lap; {low:g} to {high:g} s is accepted.",
            number=number,
            seconds=seconds,
            low=SHORTEST_S,
            high=LONGEST_S,
        )
    ]
