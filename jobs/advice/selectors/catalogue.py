"""The catalogue of this business: the shipped findings, with its own added or in their place."""

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import count
from typing import Any

from jobs.tuning import Refused
from jobs.tuning.knowledge import (
    Catalogue,
    CatalogueFinding,
    Suspect,
    finding_read,
    shipped,
    with_own,
)
from jobs.tuning.words import Words

from ..models import OwnFinding

CODE = re.compile(r"[A-Za-z0-9_-]{1,12}")
OF_OUR_OWN = "rider"  # where a finding is met that does not say so itself


@dataclass(frozen=True)
class ParsedOwnFinding:
    """A kept finding of the business's own, parsed; ``fault`` says why it cannot be parsed."""

    row: OwnFinding
    finding: CatalogueFinding | None
    fault: str = ""


def catalogue() -> Catalogue:
    """Every finding a bike can be given today: one query.

    An own one that can no longer be read is left out; the list of findings says so.
    """
    own = [one.finding for one in own_findings() if one.finding]
    return with_own(shipped(), own) if own else shipped()


def own_findings() -> list[ParsedOwnFinding]:
    """The business's own findings and its amendments, in the order of their codes."""
    return [_parsed(row) for row in OwnFinding.objects.select_related("by")]


def _parsed(row: OwnFinding) -> ParsedOwnFinding:
    try:
        (finding,) = findings_read(row.text)
    except Refused as refused:
        return ParsedOwnFinding(row, None, str(refused))
    return ParsedOwnFinding(row, finding)


def findings_read(text: str) -> list[CatalogueFinding]:
    """Findings from their open form; :class:`Refused` says what in it cannot be read."""
    try:
        tables = tomllib.loads(text.replace("\r\n", "\n"))
    except tomllib.TOMLDecodeError as error:
        raise Refused(Words("This cannot be read: {error}.", error=str(error))) from error
    except RecursionError as error:
        raise Refused(Words("This is nested too deep.")) from error
    if not tables:
        raise Refused(Words("There is no finding in it: a finding begins with [its code]."))
    return [finding_of(code, table) for code, table in tables.items()]


def finding_of(code: str, table: Mapping[str, Any]) -> CatalogueFinding:
    """One finding of our own from its table, where it is met as the shipped one."""
    if not CODE.fullmatch(code):
        raise Refused(
            Words("“{code}” is no code of a finding: 1 to 12 letters, digits, - and _.", code=code)
        )
    known = shipped()
    if code in known.good:
        raise Refused(Words("“{code}” is something good already, no finding.", code=code))
    family = known.findings[code].family if code in known.findings else OF_OUR_OWN
    return finding_read(code, table, family=family, sources=known.sources, own=True)


def asked_by(suspect: Suspect) -> str:
    """A suspect's question as it is kept with its answer."""
    return suspect.ask[:300]


def code_free() -> str:
    """The first OWN1, OWN2 ... that is free."""
    taken = {*shipped().findings, *OwnFinding.objects.values_list("code", flat=True)}
    return next(code for code in _own_codes() if code not in taken)


def _own_codes() -> Iterator[str]:
    return (f"OWN{number}" for number in count(1))
