"""How often each change did what was expected of it, over all days and bikes."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from datetime import datetime

from jobs.garage.enums import FittingKind
from jobs.garage.models import Fitting
from jobs.trackday.models import Conditions, Entry
from jobs.tuning.evidence import Evidence, JudgedExpectation, tally
from jobs.tuning.knowledge import SuggestionKey
from jobs.tuning.terms import Verdict

from .change_sets import ChangeSet, change_sets_of, mark_confounders
from .kept_evidence import judged_bikes, kept_evidence
from .measured_behind import measured_behind_all
from .ring_landing import rings_that_cannot_tell


def evidence() -> tuple[Evidence, ...]:
    """Per finding, function, end and direction; the same queries whatever there is to count.

    What was counted of a bike before, and still holds, is not counted again.
    """
    kept = kept_evidence()
    counted = judged_of_bikes(kept.stale) if kept.stale else {}
    return tally([row for rows in (*kept.rows.values(), *counted.values()) for row in rows])


def evidence_counted() -> tuple[Evidence, ...]:
    """The same, counted from the book alone."""
    counted = judged_of_bikes(judged_bikes())
    return tally([row for rows in counted.values() for row in rows])


def judged_of_bikes(bikes: Collection[int]) -> dict[int, list[JudgedExpectation]]:
    """Each bike's judged expectations of all days; as many queries for one bike as for all."""
    change_sets = change_sets_of(entry__bike__in=bikes)
    mark_confounders(change_sets)
    tyres = _tyres(change_sets)
    weather = _weather(change_sets)
    judged = [one for one in change_sets if one.judgement]
    measured_behind_all(judged)
    cannot_tell = rings_that_cannot_tell(judged)
    found: dict[int, list[JudgedExpectation]] = {bike: [] for bike in bikes}
    for one in judged:
        entry, judgement = one.first.entry, one.judgement
        assert entry is not None
        assert judgement is not None
        row = _judged(one, tyres, weather)
        found[entry.bike_id].append(replace(row, ring_cannot_tell=judgement.pk in cannot_tell))
    return found


def evidence_for(name: SuggestionKey, known: Iterable[Evidence]) -> Evidence | None:
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
    change_set: ChangeSet, tyres: dict[int, list[datetime]], weather: dict[int, list[Conditions]]
) -> JudgedExpectation:
    judgement, entry = change_set.judgement, change_set.first.entry
    assert judgement is not None
    assert entry is not None
    others = tuple(other.function for other in change_set.confounders)
    return JudgedExpectation(
        finding=change_set.finding,
        end=change_set.end,
        functions=(change_set.function, *others),
        direction=change_set.direction.value,
        verdict=Verdict(judgement.verdict),
        bike=entry.bike_id,
        bike_class=str(change_set.first.adjuster.bike),
        day=entry.trackday_id,
        order=int(judgement.accepted_at.timestamp() * 1_000_000),
        also_changed=_also_changed(change_set, tyres, weather),
    )


def _also_changed(
    change_set: ChangeSet, tyres: dict[int, list[datetime]], weather: dict[int, list[Conditions]]
) -> tuple[str, ...]:
    """Tyre, wet or dry, rider and track between the change and its judgement, by name."""
    judgement, entry = change_set.judgement, change_set.first.entry
    assert judgement is not None
    assert entry is not None
    start, end = change_set.first.done_at, judgement.done_at
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


def _tyres(change_sets: Sequence[ChangeSet]) -> dict[int, list[datetime]]:
    found: dict[int, list[datetime]] = {}
    bikes = {change_set.first.entry.bike_id for change_set in change_sets if change_set.first.entry}
    rows = Fitting.objects.filter(bike__in=bikes, kind=FittingKind.TYRE)
    for bike_id, at in rows.values_list("bike", "fitted_at"):
        found.setdefault(bike_id, []).append(at)
    return found


def _weather(change_sets: Sequence[ChangeSet]) -> dict[int, list[Conditions]]:
    found: dict[int, list[Conditions]] = {}
    days = {
        change_set.first.entry.trackday_id for change_set in change_sets if change_set.first.entry
    }
    for row in Conditions.objects.filter(trackday__in=days, withdrawn_at=None).order_by("at"):
        found.setdefault(row.trackday_id, []).append(row)
    return found
