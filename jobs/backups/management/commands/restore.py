import argparse
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError

from jobs.backups.faults import BackupFault
from jobs.backups.management.commands.backup import read_passphrase
from jobs.backups.restoring import restore


class Command(BaseCommand):
    help = "Bring a backup back into an empty place (a new DATA_DIR or DATABASE_URL)."

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        parser.add_argument("file")
        parser.add_argument(
            "--passphrase-file", help="the backup's passphrase; default: BACKUP_PASSPHRASE"
        )

    def handle(self, *, file: str, passphrase_file: str | None, **options: Any) -> None:
        passphrase = read_passphrase(passphrase_file)
        try:
            manifest = restore(
                Path(file), settings.BACKUP_PASSPHRASE if passphrase is None else passphrase
            )
        except BackupFault as fault:
            raise CommandError(str(fault)) from fault
        self.stdout.write(
            f"Restored as of {manifest.made_at}: {manifest.rows} rows, {len(manifest.files)} files."
        )
        self.stdout.write("Start the program again now.")
