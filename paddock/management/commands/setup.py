"""``manage.py setup``: everything a place needs to run, at its beginning and at each upgrade."""

import sys
from argparse import ArgumentParser
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core import checks
from django.core.files import locks
from django.core.management import call_command
from django.core.management.base import BaseCommand
from django.db import DatabaseError, connection
from django.urls import reverse

from jobs.desk.demo.play import is_demo
from jobs.people import setup_code
from paddock import readiness


class Command(BaseCommand):
    help = (
        "Prepare this place to run: the database, static files, checks. Safe at each upgrade, "
        "also while it runs. Exit status 0: it can be served; 1: it says what is missing."
    )
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--no-code", action="store_true", help="make no one-time code where there is no tuner"
        )

    def handle(self, *, no_code: bool, **options: Any) -> None:
        with one_at_a_time():
            faults = self._database() or [*self._static(), *self._checks()]
        faults = faults or readiness.missing()
        if faults:
            for fault in faults:
                self.stderr.write(self.style.ERROR(f"Missing: {fault}"))
            sys.exit(1)
        self._advise()
        self.stdout.write(self.style.SUCCESS("Ready."))
        if not no_code and not setup_code.tuner_exists():
            self._print_code()

    def _database(self) -> list[str]:
        """Bring it to this version. Returns what is missing, in words."""
        try:
            connection.ensure_connection()
        except DatabaseError as error:
            return [f"the database cannot be reached: {str(error).strip()}"]
        if readiness.database_is_newer():
            return readiness.missing_in_database()
        if found := readiness.missing_in_database():
            self.stdout.write(f"{found[0]} It is brought to this version ...")
            self.stdout.flush()
            call_command("migrate", interactive=False, verbosity=0, stdout=self.stdout)
        self.stdout.write("Database: of this version.")
        return []

    def _static(self) -> list[str]:
        if not readiness.static_is_collected():
            return []
        if readiness.missing_static():
            self.stdout.write("Static files are collected ...")
            self.stdout.flush()
            readiness.static_collect()
        self.stdout.write("Static files: of this version.")
        return []

    def _checks(self) -> list[str]:
        found = checks.run_checks(databases=["default"])
        return [f"{one.msg} ({one.id})" for one in found if one.is_serious()]

    def _advise(self) -> None:
        """What does not keep it from running, and is worth knowing."""
        if settings.DEMO:
            return
        if is_demo():
            self.stdout.write(
                self.style.WARNING(
                    f"This database holds the invented day of the demo. For real use set DATA_DIR "
                    f"to a new folder{self._move_aside()}."
                )
            )
        ours = [one for one in checks.run_checks(include_deployment_checks=True) if _is_ours(one)]
        for one in ours:
            self.stdout.write(
                self.style.WARNING(f"Worth doing: {one.msg} {one.hint or ''}".rstrip())
            )

    def _move_aside(self) -> str:
        if connection.vendor != "sqlite":
            return ""
        return f", or move {connection.settings_dict['NAME']} away"

    def _print_code(self) -> None:
        address = f"{settings.PUBLIC_URL}{reverse('first')}?code={setup_code.code_new()}"
        self.stdout.write(f"Nobody can sign in yet. Begin here (works once):\n\n  {address}\n")


def _is_ours(message: checks.CheckMessage) -> bool:
    return str(message.id).startswith("paddock.") and message.level >= checks.WARNING


@contextmanager
def one_at_a_time() -> Iterator[None]:
    """Two of these on one machine wait for each other."""
    data = Path(settings.DATA_DIR)
    data.mkdir(parents=True, exist_ok=True)
    with (data / "setup.lock").open("w") as lock:
        locks.lock(lock, locks.LOCK_EX)
        yield
