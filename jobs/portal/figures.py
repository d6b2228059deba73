"""The figures of one bike's day: pressures with tyre and state, travel, laps, conditions."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.garage import words
from jobs.garage.enums import End, FittingKind, TyreState
from jobs.garage.models import Fitting
from jobs.people.models import Business
from jobs.setups import sentences
from jobs.setups.lap_times import lap_time
from jobs.setups.measures import PRESSURE, TEMPERATURE, shown_in
from jobs.setups.models import Reading
from jobs.setups.reading_kinds import LAP_TIMES, TRAVEL, TYRE_PRESSURE
from jobs.trackday import clock
from jobs.trackday.models import Conditions, Entry
from jobs.tuning import Refused
from jobs.tuning.pace import Lap, outing_pace
from jobs.tuning.units import symbol_of


@dataclass
class PressureRow:
    """The pressures of both ends that were read at one stop, in one state of the tyre."""

    session: int | None  # after which; None: before the first
    when: str
    state: str
    at: datetime
    figures: dict[str, str] = field(default_factory=dict)

    @property
    def front(self) -> str:
        return self.figures.get(End.FRONT, "")

    @property
    def rear(self) -> str:
        return self.figures.get(End.REAR, "")


@dataclass(frozen=True)
class TyreOn:
    """A tyre that was on at an end while pressures were read, and what its maker states."""

    end: str
    name: str
    ranges: Sequence[str] = ()


@dataclass(frozen=True)
class DayFigures:
    """``unit`` is that of every figure of ``pressures``."""

    unit: str
    pressures: Sequence[PressureRow]
    tyres: Sequence[TyreOn]
    travel: Sequence[str]
    laps: Sequence[str]
    conditions: str


def day_figures(
    entry: Entry, readings: Sequence[Reading], fittings: Sequence[Fitting], business: Business
) -> DayFigures:
    """From the day's readings and the bike's fittings. One query."""
    taken = [one for one in readings if one.kind == TYRE_PRESSURE.name and one.end]
    unit = taken[-1].entered("pressure")[0][1] if taken else business.pressure_unit
    return DayFigures(
        unit=symbol_of(unit),
        pressures=_pressures(taken, unit),
        tyres=_tyres(taken, fittings, unit),
        travel=_travel(readings),
        laps=_laps(readings),
        conditions=conditions_in_words(entry, business.temperature_unit),
    )


def _pressures(taken: Iterable[Reading], unit: str) -> list[PressureRow]:
    """In the order they were read; read again at the same stop, the last one counts."""
    rows: dict[tuple[int | None, str], PressureRow] = {}
    for reading in taken:
        session = reading.session.number if reading.session else None
        row = rows.setdefault(
            (session, reading.tyre_state),
            PressureRow(session, _when(session), _state(reading.tyre_state), reading.done_at),
        )
        row.figures[reading.end] = _figure(reading, unit)
    return list(rows.values())


def _when(session: int | None) -> str:
    if session is None:
        return _("before the first session")
    return _("after session %(n)s") % {"n": session}


def _state(state: str) -> str:
    return str(TyreState(state).label) if state else ""


def _figure(reading: Reading, unit: str) -> str:
    value, entered = reading.entered("pressure")[0]
    if entered == unit:
        return words.plain(value)
    return words.plain(shown_in(reading.canonical("pressure")[0], unit, PRESSURE))


def _tyres(taken: Sequence[Reading], fittings: Iterable[Fitting], unit: str) -> list[TyreOn]:
    found = []
    tyres = [one for one in fittings if one.kind == FittingKind.TYRE]
    for end in End:
        read = [one.done_at for one in taken if one.end == end]
        for tyre in reversed(tyres):
            off = tyre.removed_at
            if tyre.end == end and any(
                tyre.fitted_at <= at and (off is None or at < off) for at in read
            ):
                named = f"{tyre.name}, {tyre.compound}" if tyre.compound else tyre.name
                found.append(TyreOn(str(end.label), named, _ranges(tyre, unit)))
    return found


def _ranges(tyre: Fitting, unit: str) -> list[str]:
    places = "0.01" if unit == "bar" else "0.1"
    return [
        _("%(state)s %(low)s to %(high)s %(unit)s") % {
            "state": TyreState(state).label,
            "low": words.plain(shown_in(Decimal(str(low)), unit, PRESSURE, places)),
            "high": words.plain(shown_in(Decimal(str(high)), unit, PRESSURE, places)),
            "unit": symbol_of(unit),
        }
        for state, (low, high) in tyre.maker_range_kpa.items()
        if state in TyreState.values
    ]  # fmt: skip


def _travel(readings: Iterable[Reading]) -> list[str]:
    """The newest of each end: "Front: 94 mm on the fork leg." """
    newest = {one.end: one for one in readings if one.kind == TRAVEL.name}
    return [
        _("%(end)s: %(figures)s.") % {
            "end": str(end.label).capitalize(),
            "figures": sentences.short_reading(newest[end]),
        }
        for end in End
        if end in newest
    ]  # fmt: skip


def _laps(readings: Iterable[Reading]) -> list[str]:
    found = []
    for reading in readings:
        if reading.kind != LAP_TIMES.name:
            continue
        laps = reading.canonical("lap")
        session = reading.session.number if reading.session else None
        if laps and session is not None:
            found.append(_of_session(session, laps))
    return found


def _of_session(session: int, laps: Sequence[Decimal]) -> str:
    said = {"n": session, "count": len(laps), "best": lap_time(min(laps))}
    middle = clean_median(laps)
    if middle is None:
        return (
            ngettext(
                "Session %(n)s: %(count)s lap, the best %(best)s; too few to say a pace.",
                "Session %(n)s: %(count)s laps, the best %(best)s; too few to say a pace.",
                len(laps),
            )
            % said
        )
    return _("Session %(n)s: %(count)s laps, the best %(best)s, pace %(pace)s.") % {
        **said,
        "pace": lap_time(middle),
    }


def clean_median(laps: Iterable[Decimal]) -> Decimal | None:
    """The pace of an outing in seconds; None where too few laps are clean to say it."""
    try:
        pace = outing_pace(laps=[Lap(float(seconds)) for seconds in laps])
    except Refused:
        return None
    return Decimal(str(pace.median_s))


def conditions_in_words(entry: Entry, unit: str) -> str:
    """ "Dry. Track 7 to 19 °C, air 8 to 12 °C."; empty where nobody wrote them down. One query."""
    _begins, ends = clock.bounds(entry.trackday)
    rows = list(Conditions.objects.filter(trackday=entry.trackday_id, withdrawn_at=None))
    rows = [row for row in rows if row.at < ends]
    if not rows:
        return ""
    wet = {row.wet for row in rows}
    weather = _("Dry.") if wet == {False} else _("Wet.") if wet == {True} else _("Dry and wet.")
    track = _span([row.track_c for row in rows], unit)
    air = _span([row.air_c for row in rows], unit)
    said = [weather]
    if track:
        said.append(_("Track %(temperatures)s.") % {"temperatures": track})
    if air:
        said.append(_("Air %(temperatures)s.") % {"temperatures": air})
    return " ".join(said)


def _span(values: Iterable[Decimal | None], unit: str) -> str:
    """ "7 to 19 °C" of temperatures in °C; empty of none."""
    known = [shown_in(one, unit, TEMPERATURE, "1") for one in values if one is not None]
    if not known:
        return ""
    said = {"low": words.plain(min(known)), "high": words.plain(max(known))}
    said["unit"] = symbol_of(unit)
    if min(known) == max(known):
        return _("%(low)s %(unit)s") % said
    return _("%(low)s to %(high)s %(unit)s") % said
