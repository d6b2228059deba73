"""``manage.py prices fixtures/prices.json``: an invented price list, rates and terms, once."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError

from jobs.billing.services.loading import prices_load


class Command(BaseCommand):
    help = "Load a price list from a file. What stands already is left alone."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, nargs="?", default=Path("fixtures/prices.json"))

    def handle(self, *args: Any, **options: Any) -> None:
        file: Path = options["file"]
        try:
            count = prices_load(data=json.loads(file.read_text()))
        except OSError as error:
            raise CommandError(f"{file} could not be read: {error.strerror}.") from error
        except json.JSONDecodeError as error:
            raise CommandError(f"{file}, line {error.lineno}: not JSON, {error.msg}.") from error
        except ValidationError as error:
            raise CommandError(f"{file}: {' '.join(error.messages)}") from error
        self.stdout.write(f"{count} prices")
