"""Findings that a reading shows: what was measured is seen, as if somebody had tapped it."""

from collections.abc import Mapping, Sequence

from ..terms import End
from .catalogue import Catalogue
from .facts import KnownFacts
from .reasoning_input import LoggedFinding, Observations

# The finding of the catalogue that each state of a fact is, by end where it differs.
SHOWN_BY: Mapping[tuple[str, str], str | Mapping[End, str]] = {
    ("push", "no_return"): "B1",
    ("push", "very_slow"): "B1",
    ("push", "slow"): "B1",
    ("push", "fast"): "B3",
    ("push", "bouncing"): "B4",
    ("cold_push", "no_return"): "B2",
    ("cold_push", "very_slow"): "B2",
    ("stiction", "high"): "B5",
    ("sides", "apart"): "T8",
    ("travel", "end"): {End.FRONT: "V1", End.REAR: "V3"},
}
# States that are out of their band and no finding of their own. Little travel used is one of
# them: of a slow first outing it says nothing, so only a person calls it a finding.
OUT_OF_BAND = frozenset((
    ("sag", "small"), ("sag", "large"), ("free_sag", "none"), ("free_sag", "large"),
    ("travel", "short"), ("travel", "far"), ("pressure", "low"), ("pressure", "high"),
    ("rise", "small"), ("rise", "large"),
    ("surface", "low"), ("surface", "high"), ("centre", "apart"),
))  # fmt: skip


def measured_findings(
    facts: KnownFacts,
    logged: Sequence[LoggedFinding],
    catalogue: Catalogue,
    observed: Observations,
) -> list[LoggedFinding]:
    """The findings that the readings show and nobody has logged, each with the reading.

    A slow push on cold oil is none any more once the same end was pushed hot.
    """
    known = {(row.finding.code, row.end) for row in logged}
    found = []
    for (fact, end), value in facts.known.items():
        if fact == "cold_push" and end and observed.pushed_hot_since_cold(end):
            continue
        for state in sorted(value.states):
            shown = SHOWN_BY.get((fact, state), "")
            code = shown if isinstance(shown, str) else shown.get(end or End.FRONT, "")
            finding = catalogue.findings.get(code)
            if finding is not None and (code, end) not in known:
                known.add((code, end))
                found.append(LoggedFinding(finding, end, value.words))
    return found


def out_of_band(facts: KnownFacts) -> list[str]:
    """What was measured outside its band, in words, where the catalogue has no finding for it."""
    return [
        value.words
        for (fact, _end), value in facts.known.items()
        if any((fact, state) in OUT_OF_BAND for state in value.states)
    ]
