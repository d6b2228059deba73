"""The finding behind a change that nobody logged, because a reading shows it.

Such a finding has no row. It is derived from the readings as they stood when the change was
made, so that evidence counts the change like one for a finding that was tapped.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from jobs.people.reader_words import in_every_language, same_sentence
from jobs.people.selectors import business_get
from jobs.setups.models import Reading
from jobs.tuning.knowledge import (
    BikeSetup,
    Catalogue,
    Limits,
    LoggedFinding,
    Observations,
    facts_from_readings,
    measured_findings,
)

from . import observations
from .catalogue import catalogue
from .change_sets import ChangeSet


def measured_behind_all(change_sets: Sequence[ChangeSet]) -> None:
    """Fill in ``measured`` of change sets of any days: at most five queries."""
    asked = [one for one in change_sets if _is_asked(one)]
    if not asked:
        return
    readings: dict[int | None, list[Reading]] = {}
    entries = {one.first.entry_id for one in asked}
    rows = Reading.objects.filter(entry__in=entries, withdrawn_at=None)
    for row in rows.prefetch_related("measurements").order_by("accepted_at"):
        readings.setdefault(row.entry_id, []).append(row)
    known, limits = catalogue(), observations.limits_of(business_get(), "")
    for one in asked:
        entry = one.first.entry
        pace = entry.group.pace if entry else ""
        of_entry = readings.get(one.first.entry_id, ())
        measured_behind([one], of_entry, known, replace(limits, pace=pace))


def measured_behind(
    change_sets: Iterable[ChangeSet],
    readings: Sequence[Reading],
    known: Catalogue,
    limits: Limits,
) -> None:
    """Fill in ``measured`` of the change sets of one entry, whose ``readings`` are given."""
    for change_set in change_sets:
        if _is_asked(change_set):
            change_set.measured = _behind(change_set, readings, known, limits)


def _is_asked(change_set: ChangeSet) -> bool:
    """Whether something was expected of it and no finding that somebody logged is its reason."""
    return change_set.expectation is not None and not change_set.finding_ids


def _behind(
    change_set: ChangeSet, readings: Sequence[Reading], known: Catalogue, limits: Limits
) -> str:
    made = change_set.first
    before = [row for row in readings if row.done_at <= made.done_at]
    of_stop = [
        row for row in before if made.session_id is not None and row.session_id == made.session_id
    ]
    observed = Observations(
        pushes=observations.pushes(before, made.session_id, limits),
        temperatures=observations.temperatures(before, made.session_id),
        sags=observations.sags(before),
        travels=observations.travels(of_stop, made.adjuster.bike).known,
    )
    facts = facts_from_readings(BikeSetup(), observed, limits=limits)
    shown = measured_findings(facts, [], known, observed)
    codes = [one.finding.code for one in shown if _made_for(change_set, one)]
    return codes[0] if len(codes) == 1 else ""


def _made_for(change_set: ChangeSet, shown: LoggedFinding) -> bool:
    """A change of the same end, by one of the finding's own steps, that says why: the reading
    in its reason, or the finding's own sentence as what is expected."""
    finding, expectation = shown.finding, change_set.expectation
    steps = (
        step
        for step in finding.steps
        if (step.function, step.direction) == (change_set.function, change_set.direction)
        and step.end in (None, shown.end)
    )
    if shown.end != change_set.end or expectation is None or next(steps, None) is None:
        return False
    said = change_set.first.reason[:]
    return any(one in said for one in in_every_language(shown.measured)) or bool(
        finding.next and same_sentence(finding.next, expectation.text)
    )
