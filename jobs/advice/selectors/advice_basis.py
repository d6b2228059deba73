"""The advice on one bike: what the setup book says of it now, and what follows from that."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TypeVar

from jobs.garage.models import Fitting
from jobs.people.models import Business
from jobs.people.selectors import business_get
from jobs.setups import selectors as book
from jobs.setups.models import BookRow, Finding, Reading
from jobs.setups.reading_kinds import LAP_TIMES
from jobs.setups.stops import entry_last_stop, oil_state
from jobs.trackday import clock
from jobs.trackday.models import Conditions, Entry
from jobs.tuning.knowledge import (
    BikeAdvice,
    BikeSetup,
    Catalogue,
    ChangeDirection,
    EarlierToday,
    Limits,
    LoggedFinding,
    Observations,
    SuggestionKey,
    TriedChange,
    advise,
    facts_from_readings,
    measured_findings,
    out_of_band,
)
from jobs.tuning.terms import AdjusterFunction, End, OilState
from jobs.worklist.models import Hold

from ..models import Answered, Overrule, Settlement
from . import observations
from .bike_facts import bike_facts_of
from .catalogue import asked_by, catalogue
from .change_sets import ChangeSet, change_sets_of
from .measured_behind import measured_behind
from .ring_outlook import shows_in_the_ring

Row = TypeVar("Row", bound=BookRow)


@dataclass(frozen=True)
class AdviceBasis:
    """What is known of one entry, read once, and the ``advice`` that follows from it."""

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
    change_sets: Sequence[ChangeSet]
    conditions: Sequence[Conditions]
    tyres: Sequence[Fitting]
    holds: Sequence[Hold]
    settlement: Settlement | None
    out_of_band: Sequence[str]  # measured outside its band, and no finding of the catalogue
    bike: BikeSetup
    advice: BikeAdvice

    @property
    def session_readings(self) -> list[Reading]:
        return of_session(self.readings, self.session_id)

    @property
    def session_findings(self) -> list[Finding]:
        return of_session(self.findings, self.session_id)


def of_session(rows: Sequence[Row], session_id: int | None) -> list[Row]:
    """The rows that belong to one outing."""
    return [row for row in rows if session_id is not None and row.session_id == session_id]


def advice_basis_of(entry: Entry, *, settlement: Settlement | None = None) -> AdviceBasis:
    """What advice on one entry rests on. The number of queries does not grow with the day."""
    now = clock.now(entry.trackday)
    stop = entry_last_stop(entry, now)
    session_id = stop.session.pk if stop and stop.at else None
    business = business_get()
    limits = observations.limits_of(business, entry.group.pace)
    rows = catalogue()
    standings = book.standings_of_entry(entry)
    readings = book.readings_of_entry(entry)
    findings = list(book.findings_of_entry(entry))
    change_sets = change_sets_of(entry=entry)
    measured_behind(change_sets, readings, rows, limits)
    conditions = list(entry.trackday.conditions.filter(withdrawn_at=None))
    tyres = list(Fitting.objects.filter(bike=entry.bike_id))
    holds = list(Hold.objects.filter(bike=entry.bike_id, released_at=None))
    bike = bike_facts_of(
        standings,
        [reading for reading in readings if observations.usable(reading, session_id)],
        tyres,
        [hold.words for hold in holds],
        entry.trackday,
    )
    observed = _observed(
        entry, session_id, readings, change_sets, conditions, settlement, limits, rows
    )
    word = observations.word_of(of_session(findings, session_id), rows)
    minutes = stop.minutes(now) if stop else None
    facts = facts_from_readings(bike, observed, limits=limits)
    logged = logged_of(findings, rows)
    logged += measured_findings(facts, logged, rows, observed)
    return AdviceBasis(
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
        change_sets=change_sets,
        conditions=conditions,
        tyres=tyres,
        holds=holds,
        settlement=settlement,
        out_of_band=out_of_band(facts),
        bike=bike,
        advice=advise(
            bike=bike,
            observed=replace(
                observed, oil=OilState(oil_state(minutes)), pace=observed.pace or word or None
            ),
            logged=logged,
            past=EarlierToday(_tried(change_sets, session_id), _overruled(entry)),
            limits=limits,
            shows=shows_in_the_ring(entry, {one.adjuster.pk: one.adjuster for one in standings}),
        ),
    )


def logged_of(findings: Sequence[Finding], rows: Catalogue) -> list[LoggedFinding]:
    """Today's findings that the catalogue knows, each end once, the newest last."""
    found = {
        (row.code, row.end): LoggedFinding(
            rows.findings[row.code], End(row.end) if row.end else None
        )
        for row in findings
        if row.code in rows.findings
    }
    return list(found.values())


def _tried(change_sets: Sequence[ChangeSet], session_id: int | None) -> tuple[TriedChange, ...]:
    """What was tried today: changes something was expected of, or made at this stop."""
    return tuple(
        change_set.tried()
        for change_set in change_sets
        if not change_set.returns
        and (change_set.expectation or change_set.first.session_id == session_id)
    )


def _overruled(entry: Entry) -> dict[SuggestionKey, str]:
    return {
        (
            row.code,
            End(row.end),
            AdjusterFunction(row.function) if row.function else None,
            ChangeDirection(row.direction) if row.direction else None,
        ): row.reason
        for row in Overrule.objects.filter(entry=entry, withdrawn_at=None)
    }


def _observed(
    entry: Entry,
    session_id: int | None,
    readings: Sequence[Reading],
    change_sets: Sequence[ChangeSet],
    conditions: Sequence[Conditions],
    settlement: Settlement | None,
    limits: Limits,
    rows: Catalogue,
) -> Observations:
    outing = of_session(readings, session_id)
    laps = observations.laps_of(outing)
    gained_s = _gained_s(readings, session_id, settlement)
    travels = observations.travels(outing, entry.bike)
    weather = conditions[-1] if conditions else None
    return Observations(
        pushes=observations.pushes(readings, session_id, limits),
        pressures=observations.pressures(readings, session_id),
        temperatures=observations.temperatures(readings, session_id),
        sags=observations.sags(readings),
        travels=travels.known,
        travel_questions=travels.questions,
        laps=len(laps) if laps else None,
        fades=observations.fades(laps),
        pace=_pace_word(gained_s, limits),
        gained_s=gained_s,
        earlier_day=settlement is not None or book.entry_before_on_bike(entry) is not None,
        wet=weather.wet if weather else None,
        track_change_c=_track_change(weather, settlement),
        preload={
            End(m.end): _raised(m) for m in change_sets if m.function == AdjusterFunction.PRELOAD
        },
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


def _raised(change_set: ChangeSet) -> str:
    return "raised" if change_set.direction == ChangeDirection.FIRMER else "reduced"


def _gained_s(
    readings: Sequence[Reading], session_id: int | None, settlement: Settlement | None
) -> float | None:
    """Faster a lap than what the bike was settled at, else than the day's first laps."""
    now = observations.pace_of(observations.laps_of(of_session(readings, session_id)))
    timed = [r for r in readings if r.kind == LAP_TIMES.name and r.session_id != session_id]
    before = observations.pace_of(
        settlement.laps if settlement else observations.laps_of(timed[:1])
    )
    return before.median_s - now.median_s if now and before else None


def _pace_word(gained_s: float | None, limits: Limits) -> str | None:
    if gained_s is None:
        return None
    if abs(gained_s) <= limits.like_pace_s:
        return "like"
    return "faster" if gained_s > 0 else "slower"


def _track_change(weather: Conditions | None, settlement: Settlement | None) -> float | None:
    if weather is None or settlement is None:
        return None
    if weather.track_c is None or settlement.track_c is None:
        return None
    return float(weather.track_c - settlement.track_c)
