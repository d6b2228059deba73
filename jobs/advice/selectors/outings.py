"""The outings of a day for the rule of settled, and whether two were at like pace."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from jobs.people.selectors import business_get
from jobs.setups import selectors as book
from jobs.setups.enums import Verdict
from jobs.setups.models import Finding, Judgement, Reading
from jobs.trackday.models import Conditions, Entry
from jobs.tuning.knowledge import Catalogue, Limits, OutingRecord, like_pace

from . import observations
from .advice_basis import of_session
from .catalogue import catalogue


@dataclass(frozen=True)
class PaceComparison:
    """The pace of the outing just ridden, compared with the one before it.

    ``alike`` None: neither lap times nor the rider's word tell. ``words``: how it is known.
    """

    alike: bool | None
    words: str


def outings_of(
    entry: Entry,
    readings: Sequence[Reading],
    findings: Sequence[Finding],
    conditions: Sequence[Conditions],
    rows: Catalogue,
) -> dict[int, OutingRecord]:
    """Today's outings by session, oldest first; one query."""
    sessions = {row.session for row in (*readings, *findings) if row.session}
    words = dict(
        Judgement.objects.filter(entry=entry, withdrawn_at=None, like_pace__isnull=False)
        .exclude(verdict=Verdict.NOT_TESTED)
        .values_list("session", "like_pace")
    )
    return {
        session.pk: _outing(
            entry,
            of_session(readings, session.pk),
            of_session(findings, session.pk),
            conditions,
            rows,
            words.get(session.pk),
        )
        for session in sorted(sessions, key=lambda s: s.number)
    }


def _outing(
    entry: Entry,
    readings: Sequence[Reading],
    found: Sequence[Finding],
    conditions: Sequence[Conditions],
    rows: Catalogue,
    like: bool | None,
) -> OutingRecord:
    codes = {row.code for row in found}
    families = {rows.findings[code].family for code in codes & rows.findings.keys()}
    complaint = "rider" in families or any(r.by_rider and r.code not in rows.good for r in found)
    judged = "" if like is None else "like" if like else "not alike"
    travels = observations.travels(readings, entry.bike)
    return OutingRecord(
        clean_tyre=False if "tyre_wear" in families else True if "clean" in codes else None,
        complaint=True if complaint else False if "content" in codes else None,
        travels=travels.known,
        travel_questions=tuple(travels.questions.values()),
        pace=observations.pace_of(observations.laps_of(readings)),
        word=observations.word_of(found, rows) or judged,
        wet=_wet_at(conditions, [*readings, *found]),
    )


def _wet_at(conditions: Sequence[Conditions], rows: Sequence[Reading | Finding]) -> bool | None:
    said = [c.wet for c in conditions if rows and c.at <= rows[0].done_at]
    return said[-1] if said else None


def outing_pace_compared(entry: Entry, session_id: int) -> PaceComparison:
    """Whether the outing of ``session_id`` was at like pace with the one before: six queries."""
    outings = outings_of(
        entry,
        book.readings_of_entry(entry),
        list(book.findings_of_entry(entry)),
        list(entry.trackday.conditions.filter(withdrawn_at=None)),
        catalogue(),
    )
    return pace_compared(
        outings, session_id, observations.limits_of(business_get(), entry.group.pace)
    )


def pace_compared(
    outings: dict[int, OutingRecord], session_id: int, limits: Limits
) -> PaceComparison:
    """The same comparison, of outings that are already read."""
    unseen = OutingRecord(None, None)
    after = outings.get(session_id, unseen)
    earlier = [outing for pk, outing in outings.items() if pk != session_id]
    before = earlier[-1] if earlier else unseen
    alike, words, by_word = like_pace(before, after, limits)
    if by_word and not after.word:
        return PaceComparison(None, _("No lap times of both outings: ask the rider."))
    return PaceComparison(alike, words[:1].upper() + words[1:])
