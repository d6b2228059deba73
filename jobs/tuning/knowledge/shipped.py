"""The catalogue as shipped, and with a business's own findings laid over it."""

import tomllib
from collections.abc import Iterable
from functools import cache
from importlib import resources
from typing import Any

from .catalogue import FAMILIES, Catalogue, Finding
from .reading import finding_read, good_read


@cache
def shipped() -> Catalogue:
    """The catalogue of the data files, read and checked once.

    >>> len(shipped().findings)
    35
    """
    sources = _table("sources")
    findings = {
        code: finding_read(code, table, family=family, sources=sources)
        for family in FAMILIES
        for code, table in _table(family).items()
    }
    good = {code: good_read(code, table) for code, table in _table("good").items()}
    return Catalogue(findings, sources, good)


def with_own(catalogue: Catalogue, own: Iterable[Finding]) -> Catalogue:
    """``catalogue`` with a business's findings added, or laid over those of the same code."""
    return Catalogue(
        {**catalogue.findings, **{finding.code: finding for finding in own}},
        catalogue.sources,
        catalogue.good,
    )


def _table(name: str) -> dict[str, Any]:
    return tomllib.loads(
        (resources.files(__package__) / "data" / f"{name}.toml").read_text("utf-8")
    )
