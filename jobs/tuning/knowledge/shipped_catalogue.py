"""The catalogue as shipped, and with the findings of a business added."""

import tomllib
from collections.abc import Iterable
from functools import cache
from importlib import resources
from typing import Any

from .catalogue import FAMILIES, Catalogue, CatalogueFinding
from .finding_reader import finding_read, good_read


@cache
def shipped() -> Catalogue:
    """The catalogue of the data files, read and checked once.

    >>> len(shipped().findings)
    42
    """
    sources = _table("sources")
    findings = {
        code: finding_read(code, table, family=family, sources=sources)
        for family in FAMILIES
        for code, table in _table(family).items()
    }
    good = {code: good_read(code, table) for code, table in _table("good").items()}
    return Catalogue(findings, sources, good)


def with_own(catalogue: Catalogue, own: Iterable[CatalogueFinding]) -> Catalogue:
    """``catalogue`` with the findings of a business, which replace those of the same code."""
    return Catalogue(
        {**catalogue.findings, **{finding.code: finding for finding in own}},
        catalogue.sources,
        catalogue.good,
    )


def _table(name: str) -> dict[str, Any]:
    return tomllib.loads(
        (resources.files(__package__) / "data" / f"{name}.toml").read_text("utf-8")
    )
