"""What was read on a bike, as the reasoning wants it."""

from collections.abc import Iterable, Sequence
from statistics import median

from jobs.garage.models import Bike
from jobs.people.models import Business, OwnBand
from jobs.setups.enums import ReadingKind
from jobs.setups.models import Finding, Reading
from jobs.tuning import Refused
from jobs.tuning.damping import PushClass, classify
from jobs.tuning.knowledge import Catalogue, Limits, Pressure, PushTest, Sag, Travel
from jobs.tuning.pace import FEWEST_CLEAN_LAPS, Lap, OutingPace, outing_pace
from jobs.tuning.terms import End, OilState, TyreState
from jobs.tuning.tyres.reading import TOO_OLD_MIN

# Slower by more than this share of a lap between the first and last third is fading.
FADE_SHARE = 0.005


def limits_of(business: Business) -> Limits:
    return Limits(
        travel_low=business.travel_low_percent / 100,
        travel_high=business.travel_high_percent / 100,
        like_pace_s=float(business.like_pace_s),
        pace_trigger_s=float(business.pace_trigger_s),
        own_bands={own.key: (float(own.low), float(own.high)) for own in OwnBand.objects.all()},
    )


def numbers(reading: Reading, name: str) -> list[float]:
    """The canonical numbers of one name, in the order they were entered."""
    return [float(m.canonical) for m in reading.measurements.all() if m.name == name]


def number(reading: Reading, name: str) -> float | None:
    found = numbers(reading, name)
    return found[0] if found else None


def newest(readings: Iterable[Reading], kind: str) -> list[Reading]:
    """The newest of one kind for each end and tyre state; ``readings`` oldest first."""
    found = {(r.end, r.tyre_state): r for r in readings if r.kind == kind}
    return list(found.values())


def pushes(readings: Sequence[Reading], session_id: int | None) -> tuple[PushTest, ...]:
    """Every push test of the day; those after the outing ``session_id`` are of this stop."""
    found = []
    for reading in readings:
        seen = push_class(reading) if reading.kind == ReadingKind.PUSH else None
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


def push_class(reading: Reading) -> PushClass | None:
    """What was seen; None where the numbers do not say."""
    if number(reading, "stays"):
        return PushClass.NO_RETURN
    seconds, swings = number(reading, "seconds"), number(reading, "swings")
    if seconds is None and swings is None:
        return None
    try:
        return classify(returned=True, swings=int(swings or 0), seconds=seconds)
    except Refused:
        return None


def pressures(readings: Sequence[Reading], session_id: int | None) -> tuple[Pressure, ...]:
    return tuple(
        Pressure(
            End(reading.end),
            number(reading, "pressure") or 0.0,
            state,
            usable(reading, session_id),
        )
        for reading in newest(readings, ReadingKind.PRESSURE)
        for state in [TyreState(reading.tyre_state or TyreState.COLD)]
    )


def usable(reading: Reading, session_id: int | None) -> bool:
    """A hot pressure counts as one only fresh, and only of this turnaround."""
    if reading.tyre_state != TyreState.TRACK:
        return True
    minutes = reading.minutes_since_stop
    return (
        reading.session_id == session_id and minutes is not None and float(minutes) <= TOO_OLD_MIN
    )


def sags(readings: Sequence[Reading]) -> tuple[Sag, ...]:
    found = []
    for reading in newest(readings, ReadingKind.SAG):
        hanging = number(reading, "hanging") or 0.0
        push, lift = number(reading, "after_push") or 0.0, number(reading, "after_lift") or 0.0
        free = number(reading, "free")
        found.append(
            Sag(
                end=End(reading.end),
                rider_mm=hanging - (push + lift) / 2,
                free_mm=None if free is None else hanging - free,
                stiction_mm=lift - push,
            )
        )
    return tuple(found)


def travels(readings: Iterable[Reading], bike: Bike) -> tuple[Travel, ...]:
    """Travel used, where the bike's usable travel is known."""
    found = []
    for reading in newest(readings, ReadingKind.TRAVEL):
        usable = getattr(bike, f"{reading.end}_usable_travel_mm")
        used = number(reading, "used")
        if usable and used is not None:
            found.append(Travel(End(reading.end), used, float(usable)))
    return tuple(found)


def laps_of(readings: Iterable[Reading]) -> list[float]:
    """The lap times of the last lap reading, in s."""
    found = [r for r in readings if r.kind == ReadingKind.LAPS]
    return numbers(found[-1], "lap") if found else []


def pace_of(laps: Sequence[float]) -> OutingPace | None:
    """The pace of one outing; None where the laps are too few."""
    try:
        return outing_pace(laps=[Lap(seconds) for seconds in laps])
    except Refused:
        return None


def word_of(findings: Iterable[Finding], rows: Catalogue) -> str:
    """The rider's last word on his pace among ``findings``: faster, like, slower, or nothing."""
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
