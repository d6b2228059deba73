"""How often a change did what was expected of it, over all days and bikes."""

from dataclasses import dataclass

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from jobs.advice import selectors
from jobs.people.access import SignedIn
from jobs.plots.share import share
from jobs.tuning.evidence import Evidence
from jobs.tuning.knowledge import ChangeDirection, change_words
from jobs.tuning.terms import AdjusterFunction, End


@dataclass(frozen=True)
class EvidenceRow:
    """One change for one finding, in words; ``picture`` only where there is evidence."""

    title: str
    change: str
    row: Evidence
    picture: SafeString


def evidence_page(request: SignedIn) -> HttpResponse:
    """Every change that was ever judged, counted per finding: the most judged first."""
    findings = selectors.catalogue().findings
    rows = [
        EvidenceRow(
            findings[row.finding].title if row.finding in findings else _("no finding named"),
            _change(row),
            row,
            _picture(row),
        )
        for row in sorted(selectors.evidence(), key=lambda row: -row.judged)
    ]
    context = {
        "enough": [r for r in rows if r.row.score],
        "few": [r for r in rows if not r.row.score],
    }
    return render(request, "board/advice/evidence.html", context)


def _change(row: Evidence) -> str:
    return str(
        change_words(End(row.end), AdjusterFunction(row.function), ChangeDirection(row.direction))
    )


def _picture(row: Evidence) -> SafeString:
    if row.score is None:
        return SafeString("")
    alt = _("%(k)s of %(n)s, interval %(low).0f to %(high).0f percent") % {
        "k": row.seen, "n": row.judged, "low": row.score.low * 100, "high": row.score.high * 100,
    }  # fmt: skip
    part = row.seen / row.judged
    # Numbers and escaped words only: made by jobs.plots.
    return mark_safe(share(part=part, low=row.score.low, high=row.score.high, alt=alt))  # noqa: S308
