"""Bringing a backup back: into an empty place only, never onto a living one."""

import os
import shutil
import tempfile
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.db import connection
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.loader import MigrationLoader
from django.utils.translation import gettext as _

from jobs.serving.authority import authority_bring

from . import archive, database
from .faults import BackupFault
from .making import AUTHORITIES, FILES, SECRET_KEY, check_files
from .manifest import Manifest, manifest_read

# Rows that migrations themselves write into a new database.
WRITTEN_BY_MIGRATIONS = {"django_migrations", "django_content_type", "auth_permission"}


def restore(file: Path, passphrase: str = "") -> Manifest:
    """Unpack, compare, bring back the database, the files and the key, then migrate.

    Raises BackupFault in words, before anything is written wherever that can be known: the
    place holds data, the backup is damaged, of the other database, or of a newer version.
    """
    refuse_living_place()
    data = Path(settings.DATA_DIR)
    data.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=data, prefix=".restoring-") as scratch:
        folder = Path(scratch)
        archive.read(file, folder, passphrase)
        manifest = manifest_read(folder)
        _refuse_foreign(manifest)
        check_files(folder, manifest)
        database.replace_by(folder / manifest.database)
        _bring_files(folder / FILES)
        _bring_key(folder / SECRET_KEY)
        for name in manifest.authorities:
            authority_bring(name, (folder / AUTHORITIES / name).read_bytes())
    call_command("migrate", verbosity=0)
    return manifest


def refuse_living_place() -> None:
    """Raises BackupFault naming what is here already."""
    if table := table_in_use(connection):
        raise BackupFault(
            _(
                "This place is in use: its database holds %(table)s. A backup is restored "
                "into an empty place only: set DATA_DIR to a new folder, or DATABASE_URL "
                "to a new database."
            )
            % {"table": table}
        )
    files = Path(settings.MEDIA_ROOT)
    if files.is_dir() and any(one.is_file() for one in files.rglob("*")):
        raise BackupFault(_("This place is in use: there are files in %s.") % files)


def table_in_use(of: BaseDatabaseWrapper) -> str | None:
    """A table of this connection's database that holds rows no migration writes."""
    with of.cursor() as cursor:
        for table in sorted(set(of.introspection.table_names()) - WRITTEN_BY_MIGRATIONS):
            cursor.execute(f"SELECT 1 FROM {of.ops.quote_name(table)} LIMIT 1")  # noqa: S608
            if cursor.fetchone():
                return str(table)
    return None


def _refuse_foreign(manifest: Manifest) -> None:
    if manifest.vendor != connection.vendor:
        raise BackupFault(
            _("This backup is of %(theirs)s, and this place uses %(ours)s.")
            % {"theirs": manifest.vendor, "ours": connection.vendor}
        )
    known = {f"{app}.{name}" for app, name in MigrationLoader(None).disk_migrations}
    unknown = sorted(set(manifest.migrations) - known)
    if unknown:
        raise BackupFault(
            _("This backup was made by a newer version of the program: %s is not known here.")
            % unknown[-1]
        )


def _bring_files(folder: Path) -> None:
    root = Path(settings.MEDIA_ROOT)
    if folder.is_dir():
        shutil.copytree(folder, root, dirs_exist_ok=True)


def _bring_key(file: Path) -> None:
    """The key signs links that are out: it comes along unless the environment gives one."""
    if os.environ.get("SECRET_KEY"):
        return
    to = Path(settings.DATA_DIR) / SECRET_KEY
    to.write_bytes(file.read_bytes())
    to.chmod(0o600)
