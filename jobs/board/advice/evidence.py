"""How often a change did what was expected of it, over all days and bikes."""

from dataclasses import dataclass, replace

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from jobs.advice import selectors
from jobs.garage.models import Bike
from jobs.people.access import SignedIn
from jobs.plots.share import share
from jobs.tuning.evidence import Evidence, SeenOf
from jobs.tuning.knowledge import ChangeDirection, change_words
from jobs.tuning.pooled_shares import PooledShare
from jobs.tuning.terms import AdjusterFunction, End


@dataclass(frozen=True)
class ModelRow:
    """What came true on one model of bike: its own counts, and its share with what all others add.

    ``own``: the same of one bike of it, where the page was opened from that bike.
    """

    model: str
    counted: SeenOf
    share: PooledShare
    picture: SafeString
    own: SeenOf | None = None


@dataclass(frozen=True)
class EvidenceRow:
    """One change for one finding, in words; ``picture`` and ``models`` only with evidence."""

    title: str
    change: str
    row: Evidence
    picture: SafeString
    models: list[ModelRow]


def evidence_page(request: SignedIn) -> HttpResponse:
    """Every change that was ever judged, counted per finding: the most judged first.

    ``?bike=``: that bike's own days, and its model, stand first.
    """
    findings = selectors.catalogue().findings
    bike = _bike(request)
    rows = [
        EvidenceRow(
            findings[row.finding].title if row.finding in findings else _("no finding named"),
            _change(row),
            row,
            _picture(row),
            models_of(row, bike),
        )
        for row in sorted(selectors.evidence(), key=lambda row: -row.judged)
    ]
    context = {
        "enough": [r for r in rows if r.row.score],
        "few": [r for r in rows if not r.row.score],
        "bike": bike,
    }
    return render(request, "board/advice/evidence.html", context)


def models_of(row: Evidence, bike: Bike | None) -> list[ModelRow]:
    """By model, that of the bike first; none where there is no evidence yet."""
    if row.score is None:
        return []
    found = [_model(counted, share) for counted, share in row.of_classes()]
    if bike is None:
        return found
    own = replace(_model(*row.of_class(str(bike))), own=row.of_bike(bike.pk))
    return [own, *(one for one in found if one.model != own.model)]


def _model(counted: SeenOf, share: PooledShare) -> ModelRow:
    return ModelRow(str(counted.of), counted, share, _share_picture(share))


def _share_picture(found: PooledShare) -> SafeString:
    alt = _("About %(middle).0f percent, from %(low).0f to %(high).0f") % {
        "middle": found.middle * 100, "low": found.low * 100, "high": found.high * 100,
    }  # fmt: skip
    # Numbers and escaped words only: made by jobs.plots.
    return mark_safe(share(part=found.middle, low=found.low, high=found.high, alt=alt))  # noqa: S308


def _bike(request: SignedIn) -> Bike | None:
    asked = request.GET.get("bike", "")
    if not asked:
        return None
    if not asked.isdecimal():
        raise Http404(_("There is no such bike."))
    return get_object_or_404(Bike, pk=int(asked))


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
