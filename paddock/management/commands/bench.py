"""``manage.py bench live|acts|...``: see paddock/benches."""

from argparse import ArgumentParser
from importlib import import_module
from pkgutil import iter_modules
from typing import Any

from django.core.management.base import BaseCommand

from paddock import benches


class Command(BaseCommand):
    help = "Measure, against a floor taken in the same run."

    def add_arguments(self, parser: ArgumentParser) -> None:
        which = parser.add_subparsers(dest="which", required=True, metavar="bench")
        for name, module in sorted(found().items()):
            module.arguments(which.add_parser(name, help=module.__doc__))

    def handle(self, *args: Any, which: str, **options: Any) -> None:
        found()[which].run(self.stdout.write, **options)


def found() -> dict[str, Any]:
    """Every module of paddock.benches that can be run, by name."""
    modules = {
        info.name: import_module(f"{benches.__name__}.{info.name}")
        for info in iter_modules(benches.__path__)
    }
    return {name: module for name, module in modules.items() if hasattr(module, "run")}
