"""An entries file against the day: which rows are new, which change what, which are gone."""

from collections import Counter, defaultdict
from itertools import combinations
from typing import Any

from django.utils.translation import gettext as _

from jobs.garage.models import Bike
from jobs.people.models import Customer, Rider
from jobs.trackday.models import Entry, RunGroup, ServicePackage, Trackday

from .columns import UnreadableError
from .entries import EntryRow, entries_read
from .entry_changes import EntryLine, compare
from .entry_match import entry_meant, new_owner_key, owner_meant, payer_meant, payer_named
from .known import Known, bike_of, known_load, plain, rider_named
from .preview import Preview, Verb, in_order
from .table import Fault


def entries_preview(
    *, trackday: Trackday, text: str, package: ServicePackage | None = None
) -> Preview[EntryLine]:
    """What importing ``text`` would do. ``package`` is for rows that name none."""
    rows, faults, _table = entries_read(text)
    known = known_load(trackday=trackday, rows=rows)
    preview: Preview[EntryLine] = Preview(faults=faults)
    for row in rows:
        try:
            preview.lines.append(line_for(known, row, package))
        except UnreadableError as why:
            preview.faults.append(Fault(row.line, "", str(why)))
    preview.faults += _twice(preview.lines) + _shared_bikes(known, preview.lines)
    _notice_numbers(known, preview.lines)
    meant = {line.entry.pk for line in preview.lines if line.entry}
    preview.gone = [_title(e) for e in known.entries if e.pk not in meant]
    preview.faults = in_order(preview.faults)
    return preview


def _title(entry: Entry) -> str:
    return f"{entry.number or '-'} {entry.group.letter}, {entry.bike}, {entry.rider}"


def line_for(known: Known, row: EntryRow, package: ServicePackage | None) -> EntryLine:
    """One row, found out. Raises UnreadableError with the words for what cannot be."""
    entry = entry_meant(known, row)
    title = f"{row.number or '-'} {row.group}, {row.make} {row.model}, {row.name}"
    line = EntryLine(row.line, title, Verb.NEW, row=row, entry=entry)
    line.group = _group(known, row)
    line.package = _package(known, row, entry, package)
    line.owner = entry.bike.owner if entry else owner_meant(known, row)
    line.payer = _payer(known, row, line)
    if line.owner is not None:
        line.rider = _rider(line.owner, row, entry)
        line.bike = _bike(known, line, row)
    _notice_people(known, line)
    compare(known, line)
    return line


def _group(known: Known, row: EntryRow) -> RunGroup | None:
    if not row.group:
        return None  # already reported by its column
    if group := known.groups.get(row.group.casefold()):
        return group
    if not known.groups:
        raise UnreadableError(
            _("This day has no run groups yet: import or type its timetable first.")
        )
    letters = ", ".join(g.letter for g in known.groups.values())
    raise UnreadableError(
        _("There is no run group “%(group)s” on this day. It has: %(letters)s.")
        % {"group": row.group, "letters": letters}
    )


def _package(
    known: Known, row: EntryRow, entry: Entry | None, default: ServicePackage | None
) -> ServicePackage:
    if row.package:
        if found := known.packages.get(row.package.casefold()):
            return found
        codes = ", ".join(sorted({p.code for p in known.packages.values()}))
        raise UnreadableError(
            _("There is no service package “%(name)s”. There are: %(codes)s.")
            % {"name": row.package, "codes": codes or _("none yet")}
        )
    if entry is not None:
        return entry.package
    if default is None:
        raise UnreadableError(
            _("No service package is named: fill in the column, or choose one above.")
        )
    return default


def _payer(known: Known, row: EntryRow, line: EntryLine) -> Customer | None:
    if not payer_named(row):
        return line.entry.payer if line.entry else line.owner
    now = line.entry.payer if line.entry else None
    if (
        now is not None
        and plain(now.name) == plain(row.payer or now.name)
        and row.payer_email in ("", now.email.lower())
    ):
        return now
    return payer_meant(known, row)


def _rider(owner: Customer, row: EntryRow, entry: Entry | None) -> Rider | None:
    if entry is not None and plain(entry.rider.name) == plain(row.name):
        return entry.rider
    return rider_named(owner, row.name)


def _bike(known: Known, line: EntryLine, row: EntryRow) -> Bike | None:
    assert line.owner is not None
    if line.entry is None:
        return bike_of(line.owner, row)
    bike = line.entry.bike
    same_frame = not row.frame or not bike.frame_last4 or row.frame == bike.frame_last4
    same_name = plain(bike.make, bike.model) == plain(row.make, row.model)
    certain = bool(row.frame) and row.frame == bike.frame_last4
    if certain or (same_frame and same_name):
        return bike
    if line.entry.pk in known.worked_on:
        raise UnreadableError(
            _(
                "Work is already written for this entry on the %(bike)s: "
                "book the other bike as its own entry."
            )
            % {"bike": bike}
        )
    owned = next((c for c in known.customers if c.pk == bike.owner_id), None)
    return bike_of(owned, row) if owned else None


def _notice_people(known: Known, line: EntryLine) -> None:
    row = line.row
    if line.owner is None and not row.email and known.by_name.get(plain(row.owner_name)):
        line.notices.append(
            _(
                "A customer of this name exists. Without an e-mail nothing tells them apart: "
                "a new one is made."
            )
        )
    if line.bike is not None or not row.frame:
        return
    for bike in known.framed_bikes:
        alike = bike.frame_last4 == row.frame and plain(bike.make) == plain(row.make)
        if alike and (line.owner is None or bike.owner_id != line.owner.pk):
            line.notices.append(
                _(
                    "%(owner)s has a %(bike)s with this frame end. If it was sold, hand the bike "
                    "over in the desk first, so that it keeps its book."
                )
                % {"owner": bike.owner, "bike": bike}
            )


def _twice(lines: list[EntryLine]) -> list[Fault]:
    """Two rows that mean one entry, or one new entry twice."""
    faults = []
    seen: dict[Any, int] = {}
    for line in lines:
        keys: list[Any] = []
        if line.entry:
            keys.append(("entry", line.entry.pk))
        if line.bike and line.rider:
            keys.append(("bike and rider", line.bike.pk, line.rider.pk))
        for key in keys:
            if key in seen:
                words = _("This is the same bike and rider as line %(line)d.")
                faults.append(Fault(line.line, "", words % {"line": seen[key]}))
                break
            seen[key] = line.line
    return faults


def _bike_key(line: EntryLine) -> Any:
    if line.bike:
        return line.bike.pk
    return (new_owner_key(line.row), line.row.frame or line.line)


def _shared_bikes(known: Known, lines: list[EntryLine]) -> list[Fault]:
    """One bike may have two riders only where their sessions do not overlap."""
    users: dict[Any, list[EntryLine]] = defaultdict(list)
    for line in lines:
        users[_bike_key(line)].append(line)
    faults = []
    for sharing in users.values():
        for a, b in combinations(sharing, 2):
            if a.group and b.group and _overlap(known, a.group, b.group):
                words = _("One bike with two riders whose sessions overlap (see line %(line)d).")
                faults.append(Fault(b.line, "group", words % {"line": a.line}))
    return faults


def _overlap(known: Known, a: RunGroup, b: RunGroup) -> bool:
    if a.pk == b.pk:
        return True
    return any(
        s.planned_start < t.planned_end and t.planned_start < s.planned_end
        for s in known.sessions.get(a.pk, [])
        for t in known.sessions.get(b.pk, [])
    )


def _notice_numbers(known: Known, lines: list[EntryLine]) -> None:
    """One number twice is allowed; it is said, because people read plates."""
    meant = {line.entry.pk for line in lines if line.entry}
    counts = Counter(line.row.number for line in lines if line.row.number)
    counts.update(e.number for e in known.entries if e.number and e.pk not in meant)
    for line in lines:
        if counts[line.row.number] > 1:
            words = _("Number %(number)s is on %(n)d bikes: shown with bike and colour.")
            line.notices.append(words % {"number": line.row.number, "n": counts[line.row.number]})
