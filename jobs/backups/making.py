"""Making a backup while the program runs, and trying it before it counts."""

import logging
import os
import shutil
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.utils.translation import gettext as _

from jobs.people.models import Customer
from jobs.serving.authority import authorities_kept

from . import archive, database, rotation
from .faults import BackupFault
from .manifest import NAME as MANIFEST
from .manifest import Manifest, manifest_of, manifest_read

log = logging.getLogger(__name__)

FILES, SECRET_KEY, AUTHORITIES = "files", "secret-key", "serving"
SCRATCH = ".making-"
A_DAY_S = 24 * 60 * 60


@dataclass(frozen=True)
class Made:
    """A backup that was written. ``database_tried`` is False where PostgreSQL let us create no
    scratch database: then the files were compared, and the database was not restored."""

    file: Path
    size: int
    rows: int
    files: int
    customers: int
    database_tried: bool
    removed: tuple[Path, ...] = ()


def make(folder: Path, passphrase: str = "") -> Made:
    """Write one backup into ``folder``, try it, and remove the old ones no longer needed.

    Raises BackupFault in words; then no file with a backup's name has been left in ``folder``.
    """
    name = rotation.name_of(datetime.now(UTC), locked=bool(passphrase))
    unfinished = folder / f"{name}.unfinished"
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        _clear_after_a_crash(folder)
        with tempfile.TemporaryDirectory(dir=folder, prefix=SCRATCH) as scratch:
            manifest = _write(unfinished, passphrase, Path(scratch))
            tried = _try(unfinished, passphrase, Path(scratch) / "tried", manifest)
        unfinished.chmod(0o600)
        os.replace(unfinished, folder / name)
    except OSError as error:
        raise BackupFault(_("The backup could not be written: %s") % error) from error
    finally:
        if unfinished.exists():
            unfinished.unlink()
    removed = rotation.superfluous(rotation.backups_in(folder))
    for old in removed:
        old.unlink(missing_ok=True)
    file = folder / name
    log.info("backup %s: %d rows, %d files", file.name, manifest.rows, len(manifest.files))
    size = file.stat().st_size
    customers = int(manifest.tables[Customer._meta.db_table]["rows"])
    return Made(file, size, manifest.rows, len(manifest.files), customers, tried, tuple(removed))


def _clear_after_a_crash(folder: Path) -> None:
    """Remove what a process that was killed in the middle left behind, once it is a day old."""
    before = time.time() - A_DAY_S
    for left in [*folder.glob(f"{SCRATCH}*"), *folder.glob("paddock-*.unfinished")]:
        if left.stat().st_mtime > before:
            continue
        if left.is_dir():
            shutil.rmtree(left, ignore_errors=True)
        else:
            left.unlink(missing_ok=True)


def _write(to: Path, passphrase: str, scratch: Path) -> Manifest:
    """The database first: every file that its rows name was written before them."""
    copy = scratch / database.file_name()
    tables = database.dump(copy)
    kept = dict(_files())
    # Whoever has an authority's key can pretend to be the van: not in a file that anybody can open.
    authorities = authorities_kept() if passphrase else {}
    manifest = manifest_of(
        database=copy.name, tables=tables, files=_said(kept), authorities=_said(authorities)
    )
    members: dict[str, archive.Member] = {
        MANIFEST: manifest.as_json(),
        copy.name: copy,
        SECRET_KEY: settings.SECRET_KEY.encode(),
        **{f"{FILES}/{name}": file for name, file in kept.items()},
        **{f"{AUTHORITIES}/{name}": file for name, file in authorities.items()},
    }
    archive.write(to, members, passphrase, scratch)
    copy.unlink()
    return manifest


def _said(files: dict[str, Path]) -> dict[str, dict[str, Any]]:
    return {
        name: {"bytes": file.stat().st_size, "sha256": archive.sha256(file)}
        for name, file in files.items()
    }


def _files() -> Iterator[tuple[str, Path]]:
    root = Path(settings.MEDIA_ROOT)
    for file in sorted(root.rglob("*")):
        if file.is_file():
            yield file.relative_to(root).as_posix(), file


def _try(file: Path, passphrase: str, into: Path, written: Manifest) -> bool:
    """Unpack what was written and compare all of it; whether the database was restored too."""
    into.mkdir()
    archive.read(file, into, passphrase)
    if manifest_read(into) != written:
        raise BackupFault(_("The backup does not say what was written into it."))
    check_files(into, written)
    found = database.tables_of(into / written.database)
    if found is None:
        return False
    differing = [name for name in written.tables if found.get(name) != written.tables[name]]
    if differing or set(found) != set(written.tables):
        raise BackupFault(
            _("Restored into a scratch place, these tables differ: %s")
            % ", ".join(differing or sorted(set(found) ^ set(written.tables)))
        )
    return True


def check_files(folder: Path, manifest: Manifest) -> None:
    """Compare every unpacked file with its SHA-256. Raises BackupFault naming those that differ."""
    listed = {f"{FILES}/{name}": about for name, about in manifest.files.items()}
    listed |= {f"{AUTHORITIES}/{name}": about for name, about in manifest.authorities.items()}
    differing = [
        name
        for name, about in listed.items()
        if not (folder / name).is_file() or archive.sha256(folder / name) != about["sha256"]
    ]
    if differing:
        raise BackupFault(
            _("These files differ from the backup's list: %s") % ", ".join(differing[:9])
        )
