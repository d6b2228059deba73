"""Readings of the setup book as the observations that ``jobs.tuning.knowledge`` works with."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from statistics import median

from jobs.garage.chassis import travel_figures_of
from jobs.garage.models import Bike
from jobs.people.models import Business, OwnBand
from jobs.setups.models import Finding, Reading
from jobs.setups.reading_kinds import (
    LAP_TIMES,
    PUSH_TEST,
    SAG,
    TRAVEL,
    TYRE_PRESSURE,
    TYRE_TEMPERATURE,
)
from jobs.tuning import Refused
from jobs.tuning.cooling import HOT_MINUTES
from jobs.tuning.damping import COMES_UP, PushClass, as_seen
from jobs.tuning.knowledge import (
    Catalogue,
    Limits,
    PressureReading,
    PushTest,
    SagReading,
    TravelReading,
    TyreTemperatures,
)
from jobs.tuning.pace import FEWEST_CLEAN_LAPS, Lap, OutingPace, outing_pace
from jobs.tuning.terms import End, OilState, TyreState
from jobs.tuning.travel import travel_used

# Slower by more than this share of a lap between the first and last third is fading.
FADE_SHARE = 0.005


def limits_of(business: Business, pace: str) -> Limits:
    """``pace``: how fast the run group rides; empty: nobody said."""
    return Limits(
        pace=pace,
        like_pace_s=float(business.like_pace_s),
        pace_trigger_s=float(business.pace_trigger_s),
        own_bands={own.key: (float(own.low), float(own.high)) for own in OwnBand.objects.all()},
    )


def numbers(reading: Reading, name: str) -> list[float]:
    """The canonical numbers of one name, in the order they were entered."""
    return [float(value) for value in reading.canonical(name)]


def number(reading: Reading, name: str) -> float | None:
    found = numbers(reading, name)
    return found[0] if found else None


def newest(readings: Iterable[Reading], kind: str) -> list[Reading]:
    """The newest of one kind for each end and tyre state; ``readings`` oldest first."""
    found = {(r.end, r.tyre_state): r for r in readings if r.kind == kind}
    return list(found.values())


def pushes(
    readings: Sequence[Reading], session_id: int | None, limits: Limits
) -> tuple[PushTest, ...]:
    """Every push test of the day; those after the outing ``session_id`` are of this stop."""
    found = []
    for reading in readings:
        seen = push_class(reading, limits) if reading.kind == PUSH_TEST.name else None
        if seen is not None:
            found.append(
                PushTest(
                    end=End(reading.end),
                    seen=seen,
                    oil=OilState(reading.oil_state or OilState.COLD),
                    this_turnaround=session_id is not None and reading.session_id == session_id,
                    seconds=number(reading, "seconds"),
                )
            )
    return tuple(found)


def push_class(reading: Reading, limits: Limits) -> PushClass | None:
    """What was seen; None where nobody said, or where the seconds cannot be."""
    passes = number(reading, "swings")
    try:
        return as_seen(
            word=next(filter(reading.switched, COMES_UP), None),
            passes=None if passes is None else int(passes),
            seconds=number(reading, "seconds"),
            passes_wanted=limits.passes_wanted(End(reading.end)),
        )
    except Refused:
        return None


def pressures(readings: Sequence[Reading], session_id: int | None) -> tuple[PressureReading, ...]:
    return tuple(
        PressureReading(
            End(reading.end),
            number(reading, "pressure") or 0.0,
            state,
            usable(reading, session_id),
        )
        for reading in newest(readings, TYRE_PRESSURE.name)
        for state in [TyreState(reading.tyre_state or TyreState.COLD)]
    )


def usable(reading: Reading, session_id: int | None) -> bool:
    """A hot pressure counts as one only fresh, and only of this turnaround."""
    if reading.tyre_state != TyreState.TRACK:
        return True
    return _of_this_stop(reading, session_id)


def _of_this_stop(reading: Reading, session_id: int | None) -> bool:
    """Read soon after the stop at the end of this outing."""
    minutes = reading.minutes_since_stop
    return (
        session_id is not None
        and reading.session_id == session_id
        and minutes is not None
        and float(minutes) <= HOT_MINUTES
    )


def temperatures(
    readings: Sequence[Reading], session_id: int | None
) -> tuple[TyreTemperatures, ...]:
    """Of this stop, and not off warmers: what a helper's task reads says no state of the tyre."""
    hot = [
        reading
        for reading in readings
        if reading.kind == TYRE_TEMPERATURE.name
        and reading.tyre_state in ("", TyreState.TRACK)
        and _of_this_stop(reading, session_id)
    ]
    return tuple(
        TyreTemperatures(
            End(reading.end),
            float(reading.minutes_since_stop or 0),
            *(number(reading, name) for name in ("left", "centre", "right")),
        )
        for reading in {one.end: one for one in hot}.values()
    )


def sags(readings: Sequence[Reading]) -> tuple[SagReading, ...]:
    found = []
    for reading in newest(readings, SAG.name):
        hanging, push, lift = (
            number(reading, name) or 0.0 for name in ("hanging", "after_push", "after_lift")
        )
        free = number(reading, "free")
        found.append(
            SagReading(
                end=End(reading.end),
                rider_mm=hanging - (push + lift) / 2,
                free_mm=None if free is None else hanging - free,
                stiction_mm=lift - push,
            )
        )
    return tuple(found)


@dataclass(frozen=True)
class TravelsRead:
    """Travel used at each end where it is known, else the question for what is missing."""

    known: tuple[TravelReading, ...] = ()
    questions: Mapping[End, str] = field(default_factory=dict)


def travels(readings: Iterable[Reading], bike: Bike) -> TravelsRead:
    """The newest travel reading of each end, as a share of what is usable where it was taken."""
    known, questions = [], {}
    for reading in newest(readings, TRAVEL.name):
        end, used_mm = End(reading.end), number(reading, "used")
        if used_mm is None:
            continue
        try:
            used = travel_used(
                used_mm=used_mm, place=reading.place, figures=travel_figures_of(bike, end)
            )
        except Refused as asked:
            questions[end] = asked.words
        else:
            known.append(TravelReading(end, used.used_mm, used.usable_mm, used.place))
    return TravelsRead(tuple(known), questions)


def laps_of(readings: Iterable[Reading]) -> list[float]:
    """The lap times of the last lap reading, in s."""
    found = [r for r in readings if r.kind == LAP_TIMES.name]
    return numbers(found[-1], "lap") if found else []


def pace_of(laps: Sequence[float]) -> OutingPace | None:
    """The pace of one outing; None where the laps are too few."""
    try:
        return outing_pace(laps=[Lap(seconds) for seconds in laps])
    except Refused:
        return None


def word_of(findings: Iterable[Finding], rows: Catalogue) -> str:
    """The rider's last word on their pace among ``findings``: faster, like, slower, or nothing."""
    said = [rows.good[row.code].pace for row in findings if row.code in rows.good]
    return next((pace for pace in reversed(said) if pace), "")


def fades(laps: Sequence[float]) -> bool | None:
    """Whether the last third of an outing was slower than the first, out and in laps apart."""
    inner = list(laps)[1:-1]
    third = len(inner) // 3
    if third < 1 or len(inner) < FEWEST_CLEAN_LAPS:
        return None
    first, last = median(inner[:third]), median(inner[-third:])
    return last - first > FADE_SHARE * first
