"""What has changed since a bike was last good: tyre, pace, venue, temperature, side by side."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.utils.translation import gettext as _

from jobs.garage.enums import End, FittingKind
from jobs.garage.models import Fitting
from jobs.setups import saying

from . import seen
from .before import Before
from .bench import Bench
from .settled import OTHER_PARTS


@dataclass(frozen=True)
class Since:
    """One thing then and now; ``said``: the difference in words; empty: none, or not known."""

    name: str
    then: str
    now: str
    said: str = ""
    changed: bool = False


UNKNOWN = "–"


def since_of(bench: Bench, before: Before) -> list[Since]:
    """Tyres, pace, venue and track in that order, then what else is different: no query."""
    rows = [_tyre(bench, before, end) for end in End]
    rows += [_pace(bench, before), _venue(bench, before), _track(bench, before)]
    return [*rows, *_others(bench, before)]


def _tyre(bench: Bench, before: Before, end: End) -> Since:
    fitted = [f for f in bench.tyres if f.kind == FittingKind.TYRE and f.end == end]
    then, now = _on_at(fitted, before.at), _on_at(fitted, bench.now)
    name = _("Front tyre") if end == End.FRONT else _("Rear tyre")
    if then is None or now is None or then.pk == now.pk:
        # Fitted since, with nothing on record before it: another one all the same.
        return Since(name, _tyre_words(then), _tyre_words(now), changed=then is not now)
    said = _("another one, fitted %(day)s") % {"day": f"{now.fitted_at:%d %b %Y}"}
    return Since(name, _tyre_words(then), _tyre_words(now), said, changed=True)


def _on_at(fitted: list[Fitting], at: datetime) -> Fitting | None:
    """``fitted``: the newest first."""
    return next(
        (f for f in fitted if f.fitted_at <= at and (f.removed_at is None or f.removed_at > at)),
        None,
    )


def _tyre_words(tyre: Fitting | None) -> str:
    return " ".join(filter(None, (tyre.name, tyre.compound))) if tyre else UNKNOWN


def _pace(bench: Bench, before: Before) -> Since:
    """Medians of clean laps; without any of today, the rider's word."""
    then = seen.pace_of(before.laps)
    now = seen.pace_of(seen.laps_of(bench.session_readings))
    word = seen.word_of(bench.session_findings, bench.catalogue)
    words = {"faster": _("quicker"), "like": _("the same"), "slower": _("slower")}
    now_words = _lap(now.median_s) if now else words.get(word, _("no lap times"))
    row = Since(_("Pace"), _lap(then.median_s) if then else UNKNOWN, now_words)
    if then is None or now is None or _elsewhere(bench, before):
        return row
    apart = now.median_s - then.median_s
    if abs(apart) <= bench.limits.like_pace_s:
        return Since(row.name, row.then, row.now, _("like pace"))
    way = _("%(s).1f s quicker") if apart < 0 else _("%(s).1f s slower")
    return Since(row.name, row.then, row.now, way % {"s": abs(apart)}, changed=True)


def _lap(seconds: float) -> str:
    return saying.lap_time(Decimal(str(seconds)))


def _elsewhere(bench: Bench, before: Before) -> bool:
    then = before.entry
    return then is not None and then.trackday.venue_id != bench.entry.trackday.venue_id


def _venue(bench: Bench, before: Before) -> Since:
    then = str(before.entry.trackday.venue) if before.entry else UNKNOWN
    changed = _elsewhere(bench, before)
    now = str(bench.entry.trackday.venue)
    return Since(_("Venue"), then, now, _("another venue") if changed else "", changed)


def _track(bench: Bench, before: Before) -> Since:
    weather = bench.conditions[-1] if bench.conditions else None
    now = _track_words(weather.wet, weather.track_c) if weather else UNKNOWN
    row = Since(_("Track"), _track_words(before.wet, before.track_c), now)
    said = []
    if weather and before.wet is not None and weather.wet != before.wet:
        said.append(_("wet now") if weather.wet else _("dry now"))
    if weather and weather.track_c is not None and before.track_c is not None:
        apart = weather.track_c - before.track_c
        if abs(apart) >= bench.limits.track_c:
            way = _("%(c).0f °C hotter") if apart > 0 else _("%(c).0f °C colder")
            said.append(way % {"c": abs(apart)})
    return Since(row.name, row.then, row.now, ", ".join(said), changed=bool(said))


def _track_words(wet: bool | None, track_c: Decimal | None) -> str:
    words = [f"{track_c:.0f} °C"] if track_c is not None else []
    if wet is not None:
        words.append(_("wet") if wet else _("dry"))
    return ", ".join(words) or UNKNOWN


def _others(bench: Bench, before: Before) -> Iterator[Since]:
    rider = bench.entry.rider.name
    if before.rider and before.rider != rider:
        yield Since(_("Rider"), before.rider, rider, _("another rider"), changed=True)
    for part in bench.tyres:
        if part.kind in OTHER_PARTS and part.fitted_at > before.at and part.removed_at is None:
            kind = str(part.get_kind_display()).capitalize()
            yield Since(kind, UNKNOWN, part.name, _("fitted since"), changed=True)
