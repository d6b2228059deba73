"""Reads of advice: the bike on the bench, evidence, settled and reopened."""

from .before import Before, before_of
from .bench import Bench, bench_of
from .catalogue import (
    Own,
    asked_by,
    catalogue,
    code_free,
    finding_of,
    findings_read,
    own_findings,
)
from .evidence import evidence, evidence_for
from .expected import expected_of, finding_behind
from .minds import change_before, changes_unexpected
from .outings import Alike, outing_alike
from .settled import State, settlement_of, state_of
from .since import Since, since_of

__all__ = [
    "Alike",
    "Before",
    "Bench",
    "Own",
    "Since",
    "State",
    "asked_by",
    "before_of",
    "bench_of",
    "catalogue",
    "change_before",
    "changes_unexpected",
    "code_free",
    "evidence",
    "evidence_for",
    "expected_of",
    "finding_behind",
    "finding_of",
    "findings_read",
    "outing_alike",
    "own_findings",
    "settlement_of",
    "since_of",
    "state_of",
]
