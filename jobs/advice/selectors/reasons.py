"""Why an adjuster may be changed: what its own end is known to need, to be tapped by a person.

A reason stands on the customer's page and on an invoice that never changes, so it is never
guessed. It is taken from an open finding or the suggestion of the same end, shown before the
change is sent, and can be exchanged for another or for none.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from jobs.garage.models import Adjuster
from jobs.setups.models import Finding
from jobs.trackday.models import Entry
from jobs.tuning.knowledge import Suggestion
from jobs.tuning.terms import End, Verdict

from .advice_basis import AdviceBasis, advice_basis_of
from .change_sets import ChangeSet

MOST_CHARACTERS = 300


@dataclass(frozen=True)
class ChangeReason:
    """``finding``: the id of the finding it repeats; empty where only readings say it.

    ``certain``: it is what this adjuster is changed for unless the person says otherwise.
    """

    text: str
    finding: str = ""
    certain: bool = False


def reasons_of(entry: Entry, adjuster: Adjuster) -> list[ChangeReason]:
    """What a change of this adjuster may be for: the suggestion first, then open findings.

    At most one is certain: the suggestion that moves this very adjuster, else the only open
    finding of its end that asks for it. Findings of no end, and what the rider booked for, are
    offered and never certain.
    """
    basis = advice_basis_of(entry)
    faults = [row for row in basis.findings if row.code not in basis.catalogue.good]
    still_open = open_findings(faults, basis.change_sets)
    suggested = basis.advice.at(End(adjuster.end)).suggestion
    of_end = [row for row in still_open if row.end == adjuster.end]
    found = list(_suggested(suggested, of_end, adjuster))
    certain = None
    if not found and len(of_end) == 1 and _asks_for(basis, of_end[0], adjuster):
        certain = of_end[0]
    repeated = {one.finding for one in found if one.finding}
    whole_bike = [row for row in still_open if not row.end]
    found += [
        ChangeReason(str(row)[:MOST_CHARACTERS], str(row.pk), row is certain)
        for row in (*reversed(of_end), *reversed(whole_bike))
        if str(row.pk) not in repeated
    ]
    booked = entry.complaint[:MOST_CHARACTERS]
    if booked and not any(one.text == booked for one in found):
        found.append(ChangeReason(booked))
    return found


def reason_of_suggestion(suggestion: Suggestion) -> str:
    """Why it is suggested: the suspect and the readings that speak for it."""
    return ("; ".join(suggestion.because) or suggestion.text)[:MOST_CHARACTERS]


def open_findings(findings: Iterable[Finding], change_sets: Sequence[ChangeSet]) -> list[Finding]:
    """The findings nobody has answered with a change that still stands.

    A change that was put back, or judged "not seen", leaves its finding open.
    """
    answered = {
        finding
        for one in change_sets
        if not one.put_back and one.verdict != Verdict.NOT_SEEN
        for finding in one.finding_ids
    }
    return [row for row in findings if row.pk not in answered]


def _suggested(
    suggestion: Suggestion | None, of_end: Sequence[Finding], adjuster: Adjuster
) -> Iterator[ChangeReason]:
    if suggestion is None or adjuster.pk not in {move.key for move in suggestion.moves}:
        return
    code = suggestion.finding.code if suggestion.finding else ""
    noted = [str(row.pk) for row in of_end if code and row.code == code]
    yield ChangeReason(reason_of_suggestion(suggestion), noted[-1] if noted else "", certain=True)


def _asks_for(basis: AdviceBasis, row: Finding, adjuster: Adjuster) -> bool:
    """Whether a finding may ask for this adjuster: one in free words may ask for any."""
    known = basis.catalogue.findings.get(row.code)
    if known is None:
        return not row.code
    return any(
        step.function == adjuster.function and step.end in (None, adjuster.end)
        for step in known.steps
    )
