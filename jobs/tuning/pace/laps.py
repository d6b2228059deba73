"""Lap times as people paste them: one a line, or a CSV with a heading."""

import csv
import re
from dataclasses import dataclass

from ..refusal import Refused
from ..words import _

MARKS = {
    "in": "in", "out": "out", "pit": "in", "flag": "flagged", "flagged": "flagged",
    "red": "flagged", "yellow": "flagged",
}  # fmt: skip
TIME_COLUMNS = ("lap time", "laptime", "lap_time", "time", "seconds", "lap")
MARK_COLUMNS = ("mark", "note", "flag", "status", "type", "remark")
SHORTEST_S, LONGEST_S = 15.0, 1200.0
_CLOCK = re.compile(r"^(?:(?:(\d+):)?(\d{1,2}):)?(\d+)(?:[.,](\d{1,4}))?$")


@dataclass(frozen=True)
class Lap:
    """One lap in seconds; ``mark`` is "in", "out", "flagged" or empty."""

    seconds: float
    mark: str = ""


def parse_laps(text: str) -> tuple[Lap, ...]:
    """Laps from pasted text or CSV: ``1:43.4``, ``103,4``, ``1:55.0 out``.

    A CSV is known by a heading with a column named like "lap time" or "time"; a column like
    "mark" or "note" may hold in, out, flagged. Refused with the line and what stood there.

    >>> parse_laps("1:55.0 out\\n1:43.4\\n103,2")
    (Lap(seconds=115.0, mark='out'), Lap(seconds=103.4, mark=''), Lap(seconds=103.2, mark=''))
    """
    lines = [line for line in text.splitlines() if line.strip()]
    if not lines:
        raise Refused(_("No lap times were given: paste one to a line, like 1:43.4."))
    heading = _heading(lines[0])
    if heading:
        return _from_csv(lines, *heading)
    return tuple(_from_line(line, i) for i, line in enumerate(lines, start=1))


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


def _from_line(line: str, number: int) -> Lap:
    """The last thing that reads as a time is the time; a lap number may stand before it."""
    words = re.split(r"[\s;|]+", line.strip())
    mark = next((MARKS[w.lower()] for w in words if w.lower() in MARKS), "")
    times = [seconds for w in words if (seconds := lap_seconds(w)) is not None]
    if not times:
        raise Refused(
            _(
                'Line {number}: "{line}" is not a lap time; write 1:43.4 or 103.4.',
                number=number,
                line=line.strip()[:40],
            )
        )
    return Lap(_possible(times[-1], number), mark)


def _heading(line: str) -> tuple[str, int, int | None] | None:
    for delimiter in (";", "\t", ","):
        names = [name.strip().strip('"').lower() for name in line.split(delimiter)]
        time = next((names.index(c) for c in TIME_COLUMNS if c in names), None)
        if time is not None:
            mark = next((names.index(c) for c in MARK_COLUMNS if c in names), None)
            return delimiter, time, mark
    return None


def _from_csv(lines: list[str], delimiter: str, time: int, mark: int | None) -> tuple[Lap, ...]:
    laps = []
    for number, row in enumerate(csv.reader(lines[1:], delimiter=delimiter), start=2):
        seconds = lap_seconds(row[time]) if time < len(row) else None
        if seconds is None:
            raise Refused(
                _(
                    'Line {number}: "{line}" has no lap time in its column.',
                    number=number,
                    line=delimiter.join(row)[:40],
                )
            )
        word = row[mark].strip().lower() if mark is not None and mark < len(row) else ""
        laps.append(Lap(_possible(seconds, number), MARKS.get(word, "")))
    if not laps:
        raise Refused(_("The list has a heading and no laps under it."))
    return tuple(laps)


def _possible(seconds: float, number: int) -> float:
    if SHORTEST_S <= seconds <= LONGEST_S:
        return seconds
    raise Refused(
        _(
            "Line {number}: {seconds:g} s is no lap; {low:g} to {high:g} s is accepted.",
            number=number,
            seconds=seconds,
            low=SHORTEST_S,
            high=LONGEST_S,
        )
    )
