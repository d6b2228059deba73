"""An entries file against the day: which rows are new, which change what, which are gone."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import replace
from itertools import combinations
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.garage.models import Bike
from jobs.people.models import Customer, Rider
from jobs.tables.matching import Choice, Formats
from jobs.tables.table import Fault
from jobs.trackday.models import Entry, RunGroup, ServicePackage, Trackday

from .columns import NoPackageError, UnreadableError
from .entries import EntryRow, entries_read
from .entry_changes import EntryPreviewLine, compare
from .entry_match import entry_meant, new_owner_key, owner_meant, payer_meant, payer_named
from .known import KnownRecords, bike_of, known_load, plain, rider_named
from .makes import makes_in_question, makes_known, plain_makes
from .preview import Preview, Verb, in_order


def entries_preview(
    *, trackday: Trackday, text: str, package: ServicePackage | None = None, group: str = "",
    formats: Formats | None = None, choice: Choice | None = None, makes: Iterable[str] = (),
) -> Preview[EntryPreviewLine]:  # fmt: skip
    """What importing ``text`` would do. ``package`` and ``group`` are for rows that name none,
    ``makes`` are those that a person said are one make."""
    known_makes = makes_known()
    rows, faults, table = entries_read(
        text, formats=formats, choice=choice, group=group, makes=[*known_makes, *makes]
    )
    known = known_load(trackday=trackday, rows=rows)
    preview: Preview[EntryPreviewLine] = Preview(faults=faults, matching=table.matching)
    in_one = [row["bike"] for row in table.rows if not row["make"]]
    preview.makes_asked = makes_in_question(in_one, plain_makes(known_makes))
    without_package = 0
    for row in rows:
        try:
            preview.lines.append(line_for(known, row, package))
        except NoPackageError as why:
            without_package += 1
            if table.matching.of("package"):
                preview.faults.append(
                    Fault(row.line, table.heading("package"), str(why), row.about)
                )
        except UnreadableError as why:
            preview.faults.append(Fault(row.line, "", str(why), row.about))
    if without_package and not table.matching.of("package"):
        preview.faults.append(_no_package(table.matching.header_line, without_package))
    preview.faults += _twice(preview.lines) + _shared_bikes(known, preview.lines)
    _notice_numbers(known, preview.lines)
    meant = {line.entry.pk for line in preview.lines if line.entry}
    preview.gone = [_title(e) for e in known.entries if e.pk not in meant]
    preview.faults = in_order(preview.faults)
    return preview


def _no_package(line: int, rows: int) -> Fault:
    """Once for all rows: one choice mends them."""
    words = ngettext(
        "%(n)d row names no service package: choose it below.",
        "%(n)d rows name no service package: choose it below, for all of them.",
        rows,
    )
    return Fault(line, "", words % {"n": rows})


def _title(entry: Entry) -> str:
    return f"{entry.number or '-'} {entry.group.letter}, {entry.bike}, {entry.rider}"


def line_for(
    known: KnownRecords, row: EntryRow, package: ServicePackage | None
) -> EntryPreviewLine:
    """The records that one row means. Raises UnreadableError in words where a cell is wrong."""
    group = _group(known, row)
    if group is not None:
        row = replace(row, group=group.letter)
    entry = entry_meant(known, row)
    title = f"{row.number or '-'} {row.group}, {row.make} {row.model}, {row.name}"
    line = EntryPreviewLine(row.line, title, Verb.NEW, row=row, entry=entry)
    line.group = group
    line.package = _package(known, row, entry, package)
    line.owner = entry.bike.owner if entry else owner_meant(known, row)
    line.payer = _payer(known, row, line)
    if line.owner is not None:
        line.rider = _rider(line.owner, row, entry)
        line.bike = _bike(known, line, row)
    _notice_people(known, line)
    if entry is not None and line.stays_off:
        words = _("Off this day (%(why)s), and stays so. The first tap at the bike brings it back.")
        line.notices.append(words % {"why": entry.get_absence_display()})
    compare(known, line)
    return line


def _group(known: KnownRecords, row: EntryRow) -> RunGroup | None:
    if not row.group:
        return None  # already reported by its column
    if group := known.groups.get(row.group.casefold()):
        return group
    named = [g for g in known.groups.values() if plain(g.name) == plain(row.group)]
    if len(named) == 1:
        return named[0]
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
    known: KnownRecords, row: EntryRow, entry: Entry | None, default: ServicePackage | None
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
        raise NoPackageError(
            _("No service package is named: fill in the column, or choose one below.")
        )
    return default


def _payer(known: KnownRecords, row: EntryRow, line: EntryPreviewLine) -> Customer | None:
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


def _bike(known: KnownRecords, line: EntryPreviewLine, row: EntryRow) -> Bike | None:
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


def _notice_people(known: KnownRecords, line: EntryPreviewLine) -> None:
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


def _twice(lines: list[EntryPreviewLine]) -> list[Fault]:
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
                words = _("This is the same bike and rider as row %(line)d.")
                faults.append(Fault(line.line, "", words % {"line": seen[key]}))
                break
            seen[key] = line.line
    return faults


def _bike_key(line: EntryPreviewLine) -> Any:
    if line.bike:
        return line.bike.pk
    return (new_owner_key(line.row), line.row.frame or line.line)


def _shared_bikes(known: KnownRecords, lines: list[EntryPreviewLine]) -> list[Fault]:
    """One bike may have two riders only where their sessions do not overlap."""
    users: dict[Any, list[EntryPreviewLine]] = defaultdict(list)
    for line in lines:
        users[_bike_key(line)].append(line)
    faults = []
    for sharing in users.values():
        for a, b in combinations(sharing, 2):
            if a.group and b.group and _overlap(known, a.group, b.group):
                words = _("One bike with two riders whose sessions overlap (see row %(line)d).")
                faults.append(Fault(b.line, "group", words % {"line": a.line}))
    return faults


def _overlap(known: KnownRecords, a: RunGroup, b: RunGroup) -> bool:
    if a.pk == b.pk:
        return True
    return any(
        s.planned_start < t.planned_end and t.planned_start < s.planned_end
        for s in known.sessions.get(a.pk, [])
        for t in known.sessions.get(b.pk, [])
    )


def _notice_numbers(known: KnownRecords, lines: list[EntryPreviewLine]) -> None:
    """One number twice is allowed; it is said, because people read plates."""
    meant = {line.entry.pk for line in lines if line.entry}
    counts = Counter(line.row.number for line in lines if line.row.number)
    counts.update(e.number for e in known.entries if e.number and e.pk not in meant)
    for line in lines:
        if counts[line.row.number] > 1:
            words = _("Number %(number)s is on %(n)d bikes: shown with bike and colour.")
            line.notices.append(words % {"number": line.row.number, "n": counts[line.row.number]})
