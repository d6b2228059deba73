"""Mutants no test can tell from the product, each with the reason: ``equivalent.toml``."""

import tomllib
from pathlib import Path

from .mutants import Mutant

FILE = Path(__file__).with_name("equivalent.toml")


def equivalents() -> dict[tuple[str, str, str, str], str]:
    """The reason by the mutant's identity."""
    listed = tomllib.loads(FILE.read_text()).get("mutant", [])
    return {
        (one["file"], one["function"], one["before"], one["after"]): one["reason"] for one in listed
    }


def reason_of(mutant: Mutant) -> str | None:
    return equivalents().get(mutant.identity)
