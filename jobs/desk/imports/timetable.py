"""Rows of a timetable file, read and checked by themselves: pure."""

from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import groupby, pairwise
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from jobs.tables.matching import Choice, Formats, Matching
from jobs.tables.table import Fault, Row, table_of
from jobs.trackday.enums import Pace

from . import columns
from .columns import UnreadableError
from .fields import TIMETABLE_FIELDS


@dataclass(frozen=True)
class SessionRow:
    line: int
    group: str
    number: int
    start: datetime
    end: datetime


@dataclass
class Timetable:
    """A day's plan as a file gives it, in UTC."""

    sessions: list[SessionRow] = field(default_factory=list)
    lunch: tuple[datetime, datetime] | None = None
    close: datetime | None = None
    paces: dict[str, str] = field(default_factory=dict)  # by the group's letter; only those said
    faults: list[Fault] = field(default_factory=list)
    matching: Matching = field(default_factory=Matching)


@dataclass(frozen=True)
class _TimetableRow:
    line: int
    group: str
    number: int | None
    start: datetime
    end: datetime | None
    pace: str = ""


READERS = {
    "group": columns.timetable_group,
    "session": columns.whole,
    "start": columns.clock_time,
    "end": columns.clock_time,
    "date": columns.calendar_date,
    "pace": columns.pace,
}
REQUIRED = tuple(field.name for field in TIMETABLE_FIELDS if field.required)


def timetable_read(
    text: str, *, day: date, zone: ZoneInfo, formats: Formats | None = None,
    choice: Choice | None = None,
) -> Timetable:  # fmt: skip
    """The plan of ``day`` in ``zone`` from a file's text, with everything that is wrong in it."""
    table = table_of(text, fields=TIMETABLE_FIELDS, formats=formats, choice=choice)
    timetable = Timetable(faults=list(table.faults), matching=table.matching)
    slots = [s for raw in table.rows if (s := _timetable_row(raw, day, zone, timetable.faults))]
    for slot in slots:
        _place(slot, timetable)
    of_groups = [slot for slot in slots if slot.group.casefold() not in NOT_A_GROUP]
    _paces(of_groups, timetable)
    timetable.sessions = _numbered(of_groups)
    timetable.faults += _overlaps(timetable.sessions) + _number_faults(timetable.sessions)
    timetable.faults = [replace(f, column=table.heading(f.column)) for f in timetable.faults]
    return timetable


NOT_A_GROUP = ("lunch", "close")


def moment(day: date, at: time, zone: ZoneInfo) -> datetime:
    """Venue time to UTC. Times the clock change skips or repeats are refused."""
    early = datetime.combine(day, at, zone)
    if early.astimezone(UTC).astimezone(zone).time() != at:
        raise UnreadableError(
            _("%(at)s does not exist that day: the clocks go forward.") % {"at": at}
        )
    if early.utcoffset() != early.replace(fold=1).utcoffset():
        raise UnreadableError(
            _("%(at)s happens twice that day: the clocks go back.") % {"at": f"{at:%H:%M}"}
        )
    return early.astimezone(UTC)


def _timetable_row(
    raw: Row, day: date, zone: ZoneInfo, faults: list[Fault]
) -> _TimetableRow | None:
    values: dict[str, Any] = {}
    wrong = len(faults)
    for name, read in READERS.items():
        try:
            values[name] = read(raw[name])
            if name in ("start", "end") and values[name]:
                values[name] = moment(day, values[name], zone)
        except UnreadableError as why:
            faults.append(Fault(raw.line, name, str(why)))
    if len(faults) > wrong:
        return None
    faults += _slot_faults(raw.line, values, day)
    if len(faults) > wrong:
        return None
    return _TimetableRow(
        raw.line,
        values["group"],
        values["session"],
        values["start"],
        values["end"],
        values["pace"],
    )


def _slot_faults(line: int, values: dict[str, Any], day: date) -> list[Fault]:
    faults = [
        Fault(line, name, _("This must be filled in.")) for name in REQUIRED if not values[name]
    ]
    if values["date"] and values["date"] != day:
        words = _("%(date)s is not this trackday's date (%(day)s).")
        faults.append(Fault(line, "date", words % {"date": values["date"], "day": day}))
    if values["group"].casefold() == "close":
        return faults
    if len(values["group"]) > 4 and values["group"].casefold() != "lunch":
        faults.append(Fault(line, "group", _("A group's letter has at most four characters.")))
    if values["end"] is None:
        faults.append(Fault(line, "end", _("This must be filled in.")))
    elif values["start"] and values["end"] <= values["start"]:
        faults.append(Fault(line, "end", _("The end is not after the start.")))
    elif values["start"] and values["end"] - values["start"] > timedelta(hours=4):
        faults.append(Fault(line, "end", _("This is longer than four hours: am or pm?")))
    return faults


def _place(slot: _TimetableRow, timetable: Timetable) -> None:
    name = slot.group.casefold()
    if name == "lunch" and slot.end:
        if timetable.lunch:
            timetable.faults.append(Fault(slot.line, "group", _("There are two lunch rows.")))
        timetable.lunch = (slot.start, slot.end)
    elif name == "close":
        if timetable.close:
            timetable.faults.append(Fault(slot.line, "group", _("There are two close rows.")))
        timetable.close = slot.start


def _paces(slots: list[_TimetableRow], timetable: Timetable) -> None:
    """A group's pace may stand in one of its rows or in all; two that differ are a fault."""
    for slot in slots:
        said = timetable.paces.setdefault(slot.group, slot.pace) if slot.pace else ""
        if said != slot.pace:
            words = _("Group %(group)s has another pace in a row before: %(pace)s.")
            fault = words % {"group": slot.group, "pace": Pace(said).label}
            timetable.faults.append(Fault(slot.line, "pace", fault))


def _numbered(slots: list[_TimetableRow]) -> list[SessionRow]:
    """Sessions by group and time; those without a number get the next one by time."""
    rows = []
    slots = sorted(slots, key=lambda s: (s.group, s.start))
    for _group, members in groupby(slots, key=lambda s: s.group):
        last = 0
        for slot in members:
            last = slot.number or last + 1
            assert slot.end is not None
            rows.append(SessionRow(slot.line, slot.group, last, slot.start, slot.end))
    return rows


def _overlaps(rows: list[SessionRow]) -> list[Fault]:
    words = _(
        "Group %(group)s's session %(a)d is not over when its session %(b)d starts (row %(line)d)."
    )
    return [
        Fault(
            b.line,
            "start",
            words % {"group": b.group, "a": a.number, "b": b.number, "line": a.line},
        )
        for a, b in pairwise(rows)
        if a.group == b.group and b.start < a.end
    ]


def _number_faults(rows: list[SessionRow]) -> list[Fault]:
    words = _("Group %(group)s's session %(n)d comes after its session %(m)d: numbers must rise.")
    return [
        Fault(b.line, "session", words % {"group": b.group, "n": b.number, "m": a.number})
        for a, b in pairwise(rows)
        if a.group == b.group and b.number <= a.number
    ]
