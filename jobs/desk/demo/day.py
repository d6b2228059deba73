"""The demo's trackday, brought in by the same import a user uses.

Its riders' phones are of the range kept free for drama, 07700 900000 to 900999 (Ofcom,
"Telephone numbers for drama use"): a call to one of them reaches nobody.
"""

from collections.abc import Collection
from datetime import date
from typing import Any

from jobs.desk.imports.entry_import import entries_write
from jobs.desk.imports.entry_preview import entries_preview
from jobs.desk.imports.preview import Preview
from jobs.desk.imports.timetable_import import timetable_preview, timetable_write
from jobs.tables.rows import text_of
from jobs.trackday.enums import Pace
from jobs.trackday.models import Trackday, Venue
from jobs.trackday.office import group_pace_set

from .business import FIXTURES, fixture

# How fast the organiser's groups ride.
PACES = {"A": Pace.QUICK, "B": Pace.MIDDLE, "C": Pace.MIDDLE, "D": Pace.NOVICE}


def day_import(
    *, venue: Venue, on: date, name: str = "", refs: Collection[int] | None = None
) -> Trackday:
    """Make the day and bring its timetable and entries in; of these ``refs`` only, if given."""
    trackday = Trackday.objects.create(venue=venue, date=on, name=name or _free_name(venue, on))
    timetable = timetable_preview(trackday=trackday, text=_file("timetable.csv"))
    _refuse(timetable)
    timetable_write(trackday=trackday, preview=timetable)
    for group in trackday.groups.filter(letter__in=PACES):
        group_pace_set(group=group, pace=PACES[group.letter])
    entries = entries_preview(trackday=trackday, text=_entries(refs))
    _refuse(entries)
    entries_write(trackday=trackday, lines=entries.lines)
    trackday.refresh_from_db()
    return trackday


def _free_name(venue: Venue, on: date) -> str:
    """The day's name; a second demo on one date gets a number."""
    name: str = fixture("people.json")["trackday"]["name"]
    taken = Trackday.objects.filter(venue=venue, date=on, name__startswith=name).count()
    return f"{name} {taken + 1}" if taken else name


def _file(name: str) -> str:
    return text_of((FIXTURES / name).read_bytes())


def _entries(refs: Collection[int] | None) -> str:
    """The entries' file, of these refs: 1 is FH-01."""
    head, *rows = _file("entries.csv").splitlines()
    kept = [row for row in rows if refs is None or int(row.split(",")[0][-2:]) in refs]
    return "\n".join([head, *kept, ""])


def _refuse(preview: Preview[Any]) -> None:
    if not preview.may_be_written:
        raise ValueError("\n".join(f"line {f.line}: {f.words}" for f in preview.faults))
