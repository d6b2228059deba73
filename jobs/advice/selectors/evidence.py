"""How often each change did what was expected of it, over all days and bikes."""

from collections.abc import Iterable, Sequence
from datetime import datetime

from jobs.garage.enums import FittingKind
from jobs.garage.models import Fitting
from jobs.trackday.models import Conditions, Entry
from jobs.tuning.evidence import Evidence, Judged, tally
from jobs.tuning.knowledge import Name
from jobs.tuning.terms import Verdict

from .minds import Mind, confounded_by, minds_of


def evidence() -> tuple[Evidence, ...]:
    """Per finding, function, end and direction; the same queries whatever there is to count."""
    minds = minds_of(entry__isnull=False)
    confounded_by(minds)
    tyres = _tyres(minds)
    weather = _weather(minds)
    return tally(_judged(mind, tyres, weather) for mind in minds if mind.judgement)


def evidence_for(name: Name, known: Iterable[Evidence]) -> Evidence | None:
    """The evidence on a suggestion of that name."""
    code, end, function, direction = name
    return next(
        (
            one
            for one in known
            if (one.finding, one.end, one.function, one.direction)
            == (code, end.value, function, direction)
        ),
        None,
    )


def _judged(
    mind: Mind, tyres: dict[int, list[datetime]], weather: dict[int, list[Conditions]]
) -> Judged:
    judgement, entry = mind.judgement, mind.first.entry
    assert judgement is not None
    assert entry is not None
    others = tuple(other.function for other in mind.confounders)
    return Judged(
        finding=mind.finding,
        end=mind.end,
        functions=(mind.function, *others),
        direction=mind.direction.value,
        verdict=Verdict(judgement.verdict),
        bike=entry.bike_id,
        day=entry.trackday_id,
        order=int(judgement.accepted_at.timestamp() * 1_000_000),
        also_changed=_also_changed(mind, tyres, weather),
    )


def _also_changed(
    mind: Mind, tyres: dict[int, list[datetime]], weather: dict[int, list[Conditions]]
) -> tuple[str, ...]:
    """Tyre, wet or dry, rider and track between the change and its judgement, by name."""
    judgement, entry = mind.judgement, mind.first.entry
    assert judgement is not None
    assert entry is not None
    start, end = mind.first.done_at, judgement.done_at
    found = []
    if any(start < at <= end for at in tyres.get(entry.bike_id, ())):
        found.append("tyre")
    if _wet(weather, entry, start) != _wet(weather, entry, end):
        found.append("wet or dry")
    later: Entry | None = judgement.entry
    if later and later.rider_id != entry.rider_id:
        found.append("rider")
    if later and later.trackday.venue_id != entry.trackday.venue_id:
        found.append("track")
    return tuple(found)


def _wet(weather: dict[int, list[Conditions]], entry: Entry, at: datetime) -> bool:
    said = [row.wet for row in weather.get(entry.trackday_id, ()) if row.at <= at]
    return bool(said and said[-1])


def _tyres(minds: Sequence[Mind]) -> dict[int, list[datetime]]:
    found: dict[int, list[datetime]] = {}
    bikes = {mind.first.entry.bike_id for mind in minds if mind.first.entry}
    rows = Fitting.objects.filter(bike__in=bikes, kind=FittingKind.TYRE)
    for bike_id, at in rows.values_list("bike", "fitted_at"):
        found.setdefault(bike_id, []).append(at)
    return found


def _weather(minds: Sequence[Mind]) -> dict[int, list[Conditions]]:
    found: dict[int, list[Conditions]] = {}
    days = {mind.first.entry.trackday_id for mind in minds if mind.first.entry}
    for row in Conditions.objects.filter(trackday__in=days, withdrawn_at=None).order_by("at"):
        found.setdefault(row.trackday_id, []).append(row)
    return found
