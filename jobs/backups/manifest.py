"""What a backup says of itself: when, by which version, and what it holds, to be proven."""

import json
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.db import connection
from django.db.migrations.recorder import MigrationRecorder
from django.utils.translation import gettext as _

from .faults import BackupFault

NAME = "manifest.json"
FORMAT = 1


@dataclass(frozen=True)
class Manifest:
    """``tables``: rows and SHA-256 by table; ``files``: bytes and SHA-256 by path.

    ``authorities``: the same of those that tablets trust; in encrypted backups only.
    """

    made_at: str
    vendor: str
    database: str
    tables: dict[str, dict[str, Any]]
    files: dict[str, dict[str, Any]]
    migrations: list[str] = field(default_factory=list)
    authorities: dict[str, dict[str, Any]] = field(default_factory=dict)
    format: int = FORMAT

    @property
    def rows(self) -> int:
        return sum(int(table["rows"]) for table in self.tables.values())

    def as_json(self) -> bytes:
        return json.dumps(asdict(self), indent=1, sort_keys=True).encode()


def manifest_of(
    *,
    database: str,
    tables: dict[str, dict[str, Any]],
    files: dict[str, dict[str, Any]],
    authorities: dict[str, dict[str, Any]],
) -> Manifest:
    """The manifest of a backup of this place, made now."""
    applied = MigrationRecorder(connection).applied_migrations()
    return Manifest(
        made_at=datetime.now(UTC).isoformat(timespec="seconds"),
        vendor=connection.vendor,
        database=database,
        tables=tables,
        files=files,
        authorities=authorities,
        migrations=sorted(f"{app}.{name}" for app, name in applied),
    )


def manifest_read(folder: Path) -> Manifest:
    """The manifest of an unpacked backup. Raises BackupFault where there is none we know."""
    try:
        given = json.loads((folder / NAME).read_text())
        found = Manifest(**given)
    except (OSError, ValueError, TypeError) as error:
        raise BackupFault(
            _("This is not a backup of this program: no manifest is in it.")
        ) from error
    if found.format != FORMAT:
        raise BackupFault(
            _("This backup has form %(form)s; this version of the program reads form %(ours)s.")
            % {"form": found.format, "ours": FORMAT}
        )
    return found
