"""``manage.py checklists fixtures/checklists.json``: the default checklists, once."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from jobs.worklist.services import checklists_load


class Command(BaseCommand):
    help = "Load checklists from a file. What stands already is left alone."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, nargs="?", default=Path("fixtures/checklists.json"))

    def handle(self, *args: Any, **options: Any) -> None:
        file: Path = options["file"]
        try:
            lists = json.loads(file.read_text())
        except OSError as error:
            raise CommandError(f"{file} could not be read: {error.strerror}.") from error
        except json.JSONDecodeError as error:
            raise CommandError(f"{file}, line {error.lineno}: not JSON, {error.msg}.") from error
        for checklist in checklists_load(lists=lists):
            self.stdout.write(f"{checklist}")
