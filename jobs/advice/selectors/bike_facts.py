"""A bike of the setup book as ``jobs.tuning.knowledge`` works with it: adjusters, tyres, holds."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from jobs.garage.enums import FittingKind
from jobs.garage.models import Fitting
from jobs.setups.enums import RowKind
from jobs.setups.models import Reading
from jobs.setups.selectors import GaugeReading, Standing, gauge_reading
from jobs.trackday import clock
from jobs.trackday.models import Trackday
from jobs.tuning.knowledge import AdjusterState, BikeSetup, FittedTyre
from jobs.tuning.terms import AdjusterFunction, End, Firming, Leg, OilState, Origin, TyreState

# A tyre pressure that was never set is taken as last read, cold before warm: heat raises it.
STATES = [TyreState.COLD, TyreState.WARMERS, TyreState.TRACK]


def bike_facts_of(
    standings: Sequence[Standing],
    readings: Sequence[Reading],
    tyres: Iterable[Fitting],
    holds: Iterable[str],
    trackday: Trackday,
) -> BikeSetup:
    """``readings``: those still good, oldest first; ``tyres``: all ever fitted, the newest
    first; a tyre fitted on the trackday's date, at its venue, is new."""
    tyres = list(tyres)
    readings = _of_what_is_fitted(readings, tyres)
    read = {s.adjuster.pk: found for s in standings if (found := _read(s, readings))}
    return BikeSetup(
        adjusters=tuple(_adjuster(standing, read) for standing in standings),
        tyres=_tyres(standings, read, tyres, trackday),
        holds=tuple(holds),
    )


def _of_what_is_fitted(readings: Sequence[Reading], tyres: Sequence[Fitting]) -> list[Reading]:
    """Without the readings of a tyre that has been removed since."""
    off: dict[str, datetime] = {}
    for tyre in tyres:
        if tyre.kind == FittingKind.TYRE and tyre.removed_at is not None:
            off[tyre.end] = max(tyre.removed_at, off.get(tyre.end, tyre.removed_at))
    return [r for r in readings if r.end not in off or r.done_at >= off[r.end]]


def _read(standing: Standing, readings: Sequence[Reading]) -> GaugeReading | None:
    """The last pressure read of a tyre that nobody has set since it was fitted."""
    if standing.row is not None or not standing.is_pressure:
        return None
    states = ([r for r in readings if r.tyre_state == state] for state in STATES)
    return next((found for read in states if (found := gauge_reading(standing, read))), None)


def _adjuster(standing: Standing, read: Mapping[int, GaugeReading]) -> AdjusterState:
    row, adjuster = standing.row, standing.adjuster
    moved = row is not None and row.kind == RowKind.CHANGE and row.oil_state
    return AdjusterState(
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
    standings: Sequence[Standing],
    read: Mapping[int, GaugeReading],
    tyres: list[Fitting],
    trackday: Trackday,
) -> dict[End, FittedTyre]:
    found = {}
    for end in End:
        fitted = [t for t in tyres if t.kind == FittingKind.TYRE and t.end == end.value]
        on = next((t for t in fitted if t.removed_at is None), None)
        if on is None:
            continue
        before = [t for t in fitted if t.fitted_at < on.fitted_at]
        today = clock.local(trackday, on.fitted_at).date() == trackday.date
        found[end] = FittedTyre(
            maker_range_kpa={
                TyreState(state): (float(low), float(high))
                for state, (low, high) in on.maker_range_kpa.items()
            },
            set_state=_set_state(standings, read, end),
            new_model=(today and before[0].name != on.name) if before else None,
        )
    return found


def _set_state(
    standings: Sequence[Standing], read: Mapping[int, GaugeReading], end: End
) -> TyreState:
    """The tyre's state (cold, off warmers, off track) for which its pressure was set or read."""
    for standing in standings:
        if standing.is_pressure and standing.adjuster.end == end.value:
            found = read.get(standing.adjuster.pk)
            row = found.reading if found else standing.row
            return TyreState((row and row.tyre_state) or TyreState.COLD)
    return TyreState.COLD
