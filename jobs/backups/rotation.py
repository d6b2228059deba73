"""Which old backups are removed: the newest days, then one a week, then one a month stay."""

import re
from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path

NEWEST, DAYS, WEEKS, MONTHS = 5, 14, 8, 24
NAME = re.compile(r"paddock-(\d{8}T\d{6}Z)\.tar(\.gz)?")
STAMP = "%Y%m%dT%H%M%SZ"


def name_of(at: datetime, *, locked: bool) -> str:
    """``paddock-20260920T193000Z.tar.gz``; without ``.gz`` where it is locked by a passphrase."""
    return f"paddock-{at.astimezone(UTC).strftime(STAMP)}.tar{'' if locked else '.gz'}"


def made_at(file: Path) -> datetime | None:
    """When a backup was made, by its name; None for any other file."""
    named = NAME.fullmatch(file.name)
    return datetime.strptime(named[1], STAMP).replace(tzinfo=UTC) if named else None


def backups_in(folder: Path) -> list[Path]:
    """The backups of a folder, newest first."""
    found = [(at, file) for file in folder.glob("paddock-*.tar*") if (at := made_at(file))]
    return [file for _at, file in sorted(found, reverse=True)]


def superfluous(files: Iterable[Path]) -> list[Path]:
    """Those of ``files`` (newest first) that no day, week or month needs.

    Kept are the ``NEWEST`` newest, then the newest of each of the last ``DAYS`` days that
    have one, of each of the last ``WEEKS`` weeks and of each of the last ``MONTHS`` months.
    """
    every = [(file, at) for file in files if (at := made_at(file))]
    kept = {file for file, _at in every[:NEWEST]}
    for form, most in (("%Y-%m-%d", DAYS), ("%G-%V", WEEKS), ("%Y-%m", MONTHS)):
        newest: dict[str, Path] = {}
        for file, at in every:
            newest.setdefault(at.strftime(form), file)
        kept.update(list(newest.values())[:most])
    return [file for file, _at in every if file not in kept]
