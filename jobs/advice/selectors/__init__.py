"""Reads of advice: what to say of a bike now, the evidence, settled and reopened."""

from .advice_basis import AdviceBasis, advice_basis_of
from .catalogue import (
    ParsedOwnFinding,
    asked_by,
    catalogue,
    code_free,
    finding_of,
    findings_read,
    own_findings,
)
from .change_sets import change_before, changes_unexpected
from .earlier_setup import EarlierSetup, earlier_setup_of
from .evidence import evidence, evidence_counted, evidence_for, judged_of_bikes
from .expected import expected_of, finding_behind
from .kept_evidence import as_json, evidence_is_stale, kept_evidence
from .outings import PaceComparison, outing_pace_compared
from .push_outlook import PushOutlook, push_landed, push_outlook_of
from .reasons import ChangeReason, reason_of_suggestion, reasons_of
from .ring_landing import RingLanded, ring_landed
from .ring_outlook import RingOutlook, SagKept, moved_the_ring_at, ring_outlook_of
from .ring_shifts import preload_steps
from .settled import SettledState, settled_state_of, settlement_of
from .then_and_now import ThenAndNow, then_and_now

__all__ = [
    "AdviceBasis",
    "ChangeReason",
    "EarlierSetup",
    "PaceComparison",
    "ParsedOwnFinding",
    "PushOutlook",
    "RingLanded",
    "RingOutlook",
    "SagKept",
    "SettledState",
    "ThenAndNow",
    "advice_basis_of",
    "as_json",
    "asked_by",
    "catalogue",
    "change_before",
    "changes_unexpected",
    "code_free",
    "earlier_setup_of",
    "evidence",
    "evidence_counted",
    "evidence_for",
    "evidence_is_stale",
    "expected_of",
    "finding_behind",
    "finding_of",
    "findings_read",
    "judged_of_bikes",
    "kept_evidence",
    "moved_the_ring_at",
    "outing_pace_compared",
    "own_findings",
    "preload_steps",
    "push_landed",
    "push_outlook_of",
    "reason_of_suggestion",
    "reasons_of",
    "ring_landed",
    "ring_outlook_of",
    "settled_state_of",
    "settlement_of",
    "then_and_now",
]
