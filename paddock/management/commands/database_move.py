import argparse
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError
from django.db import connections
from environs import ValidationError

from jobs.backups.faults import BackupFault
from jobs.backups.moving import move

from ...environment import database

TARGET = "target"


class Command(BaseCommand):
    help = (
        "Move everything from the database of DATABASE_URL into an empty one of the other kind, "
        "and prove that both are equal. Stop the program first."
    )

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        parser.add_argument("to", help="postgres://user@host:5432/name or sqlite:////path/file")

    def handle(self, *, to: str, **options: Any) -> None:
        try:
            entry = database(to, sqlite_file=Path())
        except ValidationError as error:
            raise CommandError(f"{to}: {error}") from error
        if not to.strip():
            raise CommandError("Name the database to move to.")
        self.stdout.write("Making the tables of the new database ...")
        self._migrate(to)
        connections.settings = connections.configure_settings({**settings.DATABASES, TARGET: entry})
        self.stdout.write("Copying and comparing ...")
        try:
            found = move("default", TARGET)
        except BackupFault as fault:
            raise CommandError(str(fault)) from fault
        finally:
            connections[TARGET].close()
        for table, sums in sorted(found.items()):
            if sums.rows:
                self.stdout.write(f"{table:40} {sums.rows:8}  {sums.sha256[:16]}")
        rows = sum(sums.rows for sums in found.values())
        self.stdout.write(f"Equal: {rows} rows in {len(found)} tables.")
        self.stdout.write(f"Now set DATABASE_URL={to} and start the program again.")

    def _migrate(self, to: str) -> None:
        """In a process of its own: migrations may ask the database of the settings."""
        done = subprocess.run(
            [sys.executable, "manage.py", "migrate", "--verbosity", "0"],
            cwd=settings.BASE_DIR,
            env={**os.environ, "DATABASE_URL": to},
            capture_output=True,
            text=True,
        )
        if done.returncode:
            raise CommandError(done.stderr.strip().splitlines()[-1])
