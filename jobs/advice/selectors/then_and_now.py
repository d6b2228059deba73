"""What has changed since the earlier setup: tyres, pace, venue and track, then and now."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from jobs.garage.enums import End, FittingKind
from jobs.garage.models import Fitting
from jobs.setups.lap_times import lap_time
from jobs.trackday import clock

from . import observations
from .advice_basis import AdviceBasis
from .earlier_setup import EarlierSetup
from .settled import OTHER_PARTS


@dataclass(frozen=True)
class ThenAndNow:
    """One thing then and now. ``said`` is the difference in words, empty where none is known."""

    name: str
    then: str
    now: str
    said: str = ""
    changed: bool = False


UNKNOWN = "–"


def then_and_now(basis: AdviceBasis, before: EarlierSetup) -> list[ThenAndNow]:
    """Tyres, pace, venue and track in that order, then whatever else differs. No query."""
    rows = [_tyre(basis, before, end) for end in End]
    rows += [_pace(basis, before), _venue(basis, before), _track(basis, before)]
    return [*rows, *_others(basis, before)]


def _tyre(basis: AdviceBasis, before: EarlierSetup, end: End) -> ThenAndNow:
    fitted = [f for f in basis.tyres if f.kind == FittingKind.TYRE and f.end == end]
    then, now = _on_at(fitted, before.at), _on_at(fitted, basis.now)
    name = _("Front tyre") if end == End.FRONT else _("Rear tyre")
    if then is None or now is None or then.pk == now.pk:
        # Fitted since then, with no earlier tyre on record: it counts as another tyre.
        return ThenAndNow(name, _tyre_words(then), _tyre_words(now), changed=then is not now)
    fitted_on = clock.local(basis.entry.trackday, now.fitted_at)
    said = _("another one, fitted %(day)s") % {"day": f"{fitted_on:%d %b %Y}"}
    return ThenAndNow(name, _tyre_words(then), _tyre_words(now), said, changed=True)


def _on_at(fitted: list[Fitting], at: datetime) -> Fitting | None:
    """``fitted``: the newest first."""
    return next(
        (f for f in fitted if f.fitted_at <= at and (f.removed_at is None or f.removed_at > at)),
        None,
    )


def _tyre_words(tyre: Fitting | None) -> str:
    return " ".join(filter(None, (tyre.name, tyre.compound))) if tyre else UNKNOWN


def _pace(basis: AdviceBasis, before: EarlierSetup) -> ThenAndNow:
    """Medians of clean laps; without any of today, the rider's word."""
    then = observations.pace_of(before.laps)
    now = observations.pace_of(observations.laps_of(basis.session_readings))
    word = observations.word_of(basis.session_findings, basis.catalogue)
    words = {"faster": _("quicker"), "like": _("the same"), "slower": _("slower")}
    now_words = _lap(now.median_s) if now else words.get(word, _("no lap times"))
    row = ThenAndNow(_("Pace"), _lap(then.median_s) if then else UNKNOWN, now_words)
    if then is None or now is None or _elsewhere(basis, before):
        return row
    apart = now.median_s - then.median_s
    if abs(apart) <= basis.limits.like_pace_s:
        return ThenAndNow(row.name, row.then, row.now, _("like pace"))
    way = _("%(s).1f s quicker") if apart < 0 else _("%(s).1f s slower")
    return ThenAndNow(row.name, row.then, row.now, way % {"s": abs(apart)}, changed=True)


def _lap(seconds: float) -> str:
    return lap_time(Decimal(str(seconds)))


def _elsewhere(basis: AdviceBasis, before: EarlierSetup) -> bool:
    then = before.entry
    return then is not None and then.trackday.venue_id != basis.entry.trackday.venue_id


def _venue(basis: AdviceBasis, before: EarlierSetup) -> ThenAndNow:
    then = str(before.entry.trackday.venue) if before.entry else UNKNOWN
    changed = _elsewhere(basis, before)
    now = str(basis.entry.trackday.venue)
    return ThenAndNow(_("Venue"), then, now, _("another venue") if changed else "", changed)


def _track(basis: AdviceBasis, before: EarlierSetup) -> ThenAndNow:
    weather = basis.conditions[-1] if basis.conditions else None
    now = _track_words(weather.wet, weather.track_c) if weather else UNKNOWN
    row = ThenAndNow(_("Track"), _track_words(before.wet, before.track_c), now)
    said = []
    if weather and before.wet is not None and weather.wet != before.wet:
        said.append(_("wet now") if weather.wet else _("dry now"))
    if weather and weather.track_c is not None and before.track_c is not None:
        apart = weather.track_c - before.track_c
        if abs(apart) >= basis.limits.track_c:
            way = _("%(c).0f °C hotter") if apart > 0 else _("%(c).0f °C colder")
            said.append(way % {"c": abs(apart)})
    return ThenAndNow(row.name, row.then, row.now, ", ".join(said), changed=bool(said))


def _track_words(wet: bool | None, track_c: Decimal | None) -> str:
    words = [f"{track_c:.0f} °C"] if track_c is not None else []
    if wet is not None:
        words.append(_("wet") if wet else _("dry"))
    return ", ".join(words) or UNKNOWN


def _others(basis: AdviceBasis, before: EarlierSetup) -> Iterator[ThenAndNow]:
    rider = basis.entry.rider.name
    if before.rider and before.rider != rider:
        yield ThenAndNow(_("Rider"), before.rider, rider, _("another rider"), changed=True)
    for part in basis.tyres:
        if part.kind in OTHER_PARTS and part.fitted_at > before.at and part.removed_at is None:
            kind = capfirst(str(part.get_kind_display()))
            yield ThenAndNow(kind, UNKNOWN, part.name, _("fitted since"), changed=True)
