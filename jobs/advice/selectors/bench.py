"""One bike on the bench: what the book says of it now, handed to the reasoning."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TypeVar

from jobs.garage.models import Fitting
from jobs.people.models import Business
from jobs.people.selectors import business_get
from jobs.setups import selectors as book
from jobs.setups.enums import ReadingKind
from jobs.setups.models import BookRow, Finding, Reading
from jobs.setups.stops import entry_last_stop, oil_state
from jobs.trackday import clock
from jobs.trackday.models import Conditions, Entry
from jobs.tuning.knowledge import (
    Bike,
    Catalogue,
    Counsel,
    Direction,
    Limits,
    Logged,
    Name,
    Observed,
    Past,
    counsel,
)
from jobs.tuning.terms import AdjusterFunction, End, OilState
from jobs.worklist.models import Hold

from ..models import Answered, Overrule, Settlement
from . import seen
from .catalogue import asked_by, catalogue
from .minds import Mind, minds_of
from .standing import bike_of

Row = TypeVar("Row", bound=BookRow)


@dataclass(frozen=True)
class Bench:
    """Everything advice needs of one entry, read once."""

    entry: Entry
    now: datetime
    session_id: int | None  # the outing it last came in from
    is_out: bool
    business: Business
    limits: Limits
    catalogue: Catalogue
    standings: Sequence[book.Standing]
    readings: Sequence[Reading]
    findings: Sequence[Finding]
    minds: Sequence[Mind]
    conditions: Sequence[Conditions]
    tyres: Sequence[Fitting]
    holds: Sequence[Hold]
    settlement: Settlement | None
    bike: Bike
    counsel: Counsel

    @property
    def session_readings(self) -> list[Reading]:
        return of_session(self.readings, self.session_id)

    @property
    def session_findings(self) -> list[Finding]:
        return of_session(self.findings, self.session_id)


def of_session(rows: Sequence[Row], session_id: int | None) -> list[Row]:
    """What hangs on one outing."""
    return [row for row in rows if session_id is not None and row.session_id == session_id]


def bench_of(entry: Entry, *, settlement: Settlement | None = None) -> Bench:
    """The bike and the counsel on it; the same number of queries at any length of its day."""
    now = clock.now(entry.trackday)
    stop = entry_last_stop(entry, now)
    session_id = stop.session.pk if stop and stop.at else None
    business = business_get()
    limits = seen.limits_of(business)
    rows = catalogue()
    standings = book.standings_of_entry(entry)
    readings = book.readings_of_entry(entry)
    findings = list(book.findings_of_entry(entry))
    minds = minds_of(entry=entry)
    conditions = list(entry.trackday.conditions.filter(withdrawn_at=None))
    tyres = list(Fitting.objects.filter(bike=entry.bike_id))
    holds = list(Hold.objects.filter(bike=entry.bike_id, released_at=None))
    bike = bike_of(
        standings,
        [reading for reading in readings if seen.usable(reading, session_id)],
        tyres,
        [hold.words for hold in holds],
        entry.trackday.date,
    )
    observed = _observed(entry, session_id, readings, minds, conditions, settlement, limits, rows)
    word = seen.word_of(of_session(findings, session_id), rows)
    minutes = stop.minutes(now) if stop else None
    return Bench(
        entry=entry,
        now=now,
        session_id=session_id,
        is_out=stop is not None and stop.at is None,
        business=business,
        limits=limits,
        catalogue=rows,
        standings=standings,
        readings=readings,
        findings=findings,
        minds=minds,
        conditions=conditions,
        tyres=tyres,
        holds=holds,
        settlement=settlement,
        bike=bike,
        counsel=counsel(
            bike=bike,
            observed=replace(
                observed, oil=OilState(oil_state(minutes)), pace=observed.pace or word or None
            ),
            logged=logged_of(findings, rows),
            past=Past(_tried(minds, session_id), _overruled(entry)),
            limits=limits,
        ),
    )


def logged_of(findings: Sequence[Finding], rows: Catalogue) -> list[Logged]:
    """Today's findings that the catalogue knows, each end once, the newest last."""
    found = {
        (row.code, row.end): Logged(rows.findings[row.code], End(row.end) if row.end else None)
        for row in findings
        if row.code in rows.findings
    }
    return list(found.values())


def _tried(minds: Sequence[Mind], session_id: int | None) -> tuple:
    """What was tried today: changes something was expected of, or made at this stop."""
    return tuple(
        mind.tried()
        for mind in minds
        if not mind.returns and (mind.expectation or mind.first.session_id == session_id)
    )


def _overruled(entry: Entry) -> dict[Name, str]:
    return {
        (
            row.code,
            End(row.end),
            AdjusterFunction(row.function) if row.function else None,
            Direction(row.direction) if row.direction else None,
        ): row.reason
        for row in Overrule.objects.filter(entry=entry, withdrawn_at=None)
    }


def _observed(
    entry: Entry,
    session_id: int | None,
    readings: Sequence[Reading],
    minds: Sequence[Mind],
    conditions: Sequence[Conditions],
    settlement: Settlement | None,
    limits: Limits,
    rows: Catalogue,
) -> Observed:
    outing = of_session(readings, session_id)
    laps = seen.laps_of(outing)
    weather = conditions[-1] if conditions else None
    return Observed(
        pushes=seen.pushes(readings, session_id),
        pressures=seen.pressures(readings, session_id),
        sags=seen.sags(readings),
        travels=seen.travels(outing, entry.bike),
        laps=len(laps) if laps else None,
        fades=seen.fades(laps),
        pace=_pace(readings, session_id, settlement, limits),
        wet=weather.wet if weather else None,
        track_change_c=_track_change(weather, settlement),
        preload={End(m.end): _raised(m) for m in minds if m.function == AdjusterFunction.PRELOAD},
        answers=_answers(entry, rows),
    )


def _answers(entry: Entry, rows: Catalogue) -> dict[tuple[str, int], bool]:
    """What was answered today, by the place its question has in the catalogue now."""
    found = {}
    for row in Answered.objects.filter(entry=entry, withdrawn_at=None):
        finding = rows.findings.get(row.code)
        for suspect in finding.suspects if finding else ():
            if asked_by(suspect) == row.asked if row.asked else suspect.order == row.suspect:
                found[row.code, suspect.order] = row.yes
    return found


def _raised(mind: Mind) -> str:
    return "raised" if mind.direction == Direction.FIRMER else "reduced"


def _pace(
    readings: Sequence[Reading],
    session_id: int | None,
    settlement: Settlement | None,
    limits: Limits,
) -> str | None:
    """Faster, like or slower than what the bike was settled at, else than the day's first laps."""
    now = seen.pace_of(seen.laps_of(of_session(readings, session_id)))
    timed = [r for r in readings if r.kind == ReadingKind.LAPS and r.session_id != session_id]
    before = seen.pace_of(settlement.laps if settlement else seen.laps_of(timed[:1]))
    if now is None or before is None:
        return None
    apart = now.median_s - before.median_s
    if abs(apart) <= limits.like_pace_s:
        return "like"
    return "faster" if apart < 0 else "slower"


def _track_change(weather: Conditions | None, settlement: Settlement | None) -> float | None:
    if weather is None or settlement is None:
        return None
    if weather.track_c is None or settlement.track_c is None:
        return None
    return float(weather.track_c - settlement.track_c)
