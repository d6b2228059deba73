"""The files of the repository, for the tests of its shape."""

from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
HOMES = ("jobs", "paddock", "tests")

# Upper rooms first. A room may know those after its own row, never those before.
LAYERS: tuple[tuple[str, ...], ...] = (
    ("board", "workbench", "tablet", "portal", "desk", "api", "first", "manual"),
    ("acts",),
    ("billing", "calculators"),
    ("advice",),
    ("worklist",),
    ("setups",),
    ("trackday",),
    ("garage",),
    ("backups",),
    ("people",),
    ("outbox", "live", "paper", "files", "serving"),
    ("tables",),
)
SURFACES = LAYERS[0]
DEPTH = {room: depth for depth, row in enumerate(LAYERS) for room in row}


def files(*endings: str, homes: tuple[str, ...] = HOMES) -> Iterator[Path]:
    """Every file we wrote with one of these endings; migrations are made, not written."""
    for home in homes:
        for path in sorted((ROOT / home).rglob("*")):
            if path.suffix in endings and "migrations" not in path.parts:
                yield path


def room_of(path: Path) -> str:
    """``jobs/setups/models.py`` -> ``setups``."""
    return path.relative_to(ROOT).parts[1]
