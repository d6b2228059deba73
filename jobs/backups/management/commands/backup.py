import argparse
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError

from jobs.backups.faults import BackupFault
from jobs.backups.services import backup_make


class Command(BaseCommand):
    help = "Make a backup while the program runs, and try it by restoring it into a scratch place."

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        parser.add_argument(
            "folder", nargs="?", default=str(settings.BACKUP_DIR), help="default: %(default)s"
        )
        parser.add_argument(
            "--passphrase-file",
            help="encrypt with the first line of this file; default: BACKUP_PASSPHRASE",
        )

    def handle(self, *, folder: str, passphrase_file: str | None, **options: Any) -> None:
        passphrase = read_passphrase(passphrase_file)
        try:
            made = backup_make(folder=Path(folder), passphrase=passphrase)
        except BackupFault as fault:
            raise CommandError(str(fault)) from fault
        self.stdout.write(
            f"{made.file}: {made.size / 1e6:.1f} MB, {made.rows} rows, {made.files} files, "
            f"{'encrypted' if passphrase or settings.BACKUP_PASSPHRASE else 'not encrypted'}"
        )
        if made.database_tried:
            self.stdout.write("Restored into a scratch place: every table and file is equal.")
        else:
            self.stdout.write(
                "The files are equal. The database was not tried: this PostgreSQL role may not "
                "create a database (ALTER ROLE ... CREATEDB)."
            )
        for old in made.removed:
            self.stdout.write(f"Removed, older ones are enough: {old.name}")


def read_passphrase(file: str | None) -> str | None:
    """The first line of ``file``; None without one."""
    if file is None:
        return None
    try:
        lines = Path(file).read_text().splitlines()
    except OSError as error:
        raise CommandError(f"{file} cannot be read: {error.strerror}") from error
    if not lines or not lines[0].strip():
        raise CommandError(f"{file} has no passphrase in its first line.")
    return lines[0].strip()
