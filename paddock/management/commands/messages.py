"""``manage.py messages``: see paddock/catalogues.py."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandParser

from paddock import catalogues

# makemessages reads only Python and templates: the sentences of data files are written here.
OF_DATA = Path(settings.BASE_DIR) / "paddock" / "data_texts.py"


class Command(BaseCommand):
    help = (
        "Bring every sentence into the catalogues (needs Debian's gettext) and compile them; "
        "--compile: compile only."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--compile", action="store_true")

    def handle(self, *args: Any, **options: Any) -> None:
        if not options["compile"]:
            self._collect()
        for file in catalogues.files():
            file.with_suffix(".mo").write_bytes(catalogues.compiled(file))

    def _collect(self) -> None:
        lines = [f"_({text!r})" for text in catalogues.data_texts()]
        OF_DATA.write_text("\n".join(lines) + "\n")
        try:
            for domain in catalogues.DOMAINS:
                call_command(
                    "makemessages",
                    domain=domain,
                    locale=list(catalogues.LANGUAGES),
                    ignore_patterns=["tests", ".venv", "fixtures"],
                    no_location=True,
                    no_obsolete=True,
                    verbosity=0,
                )
        finally:
            OF_DATA.unlink()
        for file in catalogues.files():
            catalogues.tidy(file)
