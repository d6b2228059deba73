"""The bike as the reasoning wants it, from the book: adjusters, tyres, holds."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime

from jobs.garage.enums import FittingKind
from jobs.garage.models import Fitting
from jobs.setups.enums import RowKind
from jobs.setups.models import Reading
from jobs.setups.selectors import Gauged, Standing, gauged
from jobs.tuning.knowledge import Adjuster, Bike, Tyre
from jobs.tuning.terms import AdjusterFunction, End, Firming, Leg, OilState, Origin, TyreState

# A tyre never set stands at what was read of it: best where heat is not in the figure.
STATES = [TyreState.COLD, TyreState.WARMERS, TyreState.TRACK]


def bike_of(
    standings: Sequence[Standing],
    readings: Sequence[Reading],
    tyres: Iterable[Fitting],
    holds: Iterable[str],
    day: date,
) -> Bike:
    """``readings``: those still good, oldest first; ``tyres``: all ever fitted, the newest
    first; ``day``: a tyre fitted on it is new."""
    tyres = list(tyres)
    readings = _of_what_is_fitted(readings, tyres)
    read = {s.adjuster.pk: found for s in standings if (found := _read(s, readings))}
    return Bike(
        adjusters=tuple(_adjuster(standing, read) for standing in standings),
        tyres=_tyres(standings, read, tyres, day),
        holds=tuple(holds),
    )


def _of_what_is_fitted(readings: Sequence[Reading], tyres: Sequence[Fitting]) -> list[Reading]:
    """Without what was read of a tyre that has come off since."""
    off: dict[str, datetime] = {}
    for tyre in tyres:
        if tyre.kind == FittingKind.TYRE and tyre.removed_at is not None:
            off[tyre.end] = max(tyre.removed_at, off.get(tyre.end, tyre.removed_at))
    return [r for r in readings if r.end not in off or r.done_at >= off[r.end]]


def _read(standing: Standing, readings: Sequence[Reading]) -> Gauged | None:
    """What the gauge says of a tyre nobody has set since it came."""
    if standing.row is not None or not standing.is_pressure:
        return None
    states = ([r for r in readings if r.tyre_state == state] for state in STATES)
    return next((found for read in states if (found := gauged(standing, read))), None)


def _adjuster(standing: Standing, read: Mapping[int, Gauged]) -> Adjuster:
    row, adjuster = standing.row, standing.adjuster
    moved = row is not None and row.kind == RowKind.CHANGE and row.oil_state
    return Adjuster(
        key=adjuster.pk,
        end=End(adjuster.end),
        function=AdjusterFunction(adjuster.function),
        lowest=adjuster.lowest,
        highest=adjuster.highest,
        position=read[adjuster.pk].position if adjuster.pk in read else standing.position,
        leg=Leg(adjuster.leg),
        unit=adjuster.unit,
        step=adjuster.step,
        origin=Origin(adjuster.origin),
        firming=Firming(adjuster.firming),
        range_counted=adjuster.range_counted,
        usable=adjuster.usable,
        proven=adjuster.proven_at is not None,
        arrived=standing.arrived,
        moved_when=OilState(row.oil_state) if row is not None and moved else None,
    )


def _tyres(
    standings: Sequence[Standing], read: Mapping[int, Gauged], tyres: list[Fitting], day: date
) -> dict[End, Tyre]:
    found = {}
    for end in End:
        fitted = [t for t in tyres if t.kind == FittingKind.TYRE and t.end == end.value]
        on = next((t for t in fitted if t.removed_at is None), None)
        if on is None:
            continue
        before = [t for t in fitted if t.fitted_at < on.fitted_at]
        today = on.fitted_at.date() == day
        found[end] = Tyre(
            maker_range_kpa={
                TyreState(state): (float(low), float(high))
                for state, (low, high) in on.maker_range_kpa.items()
            },
            set_state=_set_state(standings, read, end),
            new_model=(today and before[0].name != on.name) if before else None,
        )
    return found


def _set_state(standings: Sequence[Standing], read: Mapping[int, Gauged], end: End) -> TyreState:
    """The state of the tyre the figure it stands at is for."""
    for standing in standings:
        if standing.is_pressure and standing.adjuster.end == end.value:
            found = read.get(standing.adjuster.pk)
            row = found.reading if found else standing.row
            return TyreState((row and row.tyre_state) or TyreState.COLD)
    return TyreState.COLD
