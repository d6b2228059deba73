"""The bike as the reasoning wants it, from the book: adjusters, tyres, holds."""

from collections.abc import Iterable, Sequence
from datetime import date

from jobs.garage.enums import FittingKind, Function
from jobs.garage.models import Fitting
from jobs.setups.enums import RowKind
from jobs.setups.selectors import Standing
from jobs.tuning.knowledge import Adjuster, Bike, Tyre
from jobs.tuning.terms import AdjusterFunction, End, Firming, Leg, OilState, Origin, TyreState


def bike_of(
    standings: Sequence[Standing], tyres: Iterable[Fitting], holds: Iterable[str], day: date
) -> Bike:
    """``tyres``: all ever fitted, the newest first; ``day``: a tyre fitted on it is new."""
    return Bike(
        adjusters=tuple(_adjuster(standing) for standing in standings),
        tyres=_tyres(standings, list(tyres), day),
        holds=tuple(holds),
    )


def _adjuster(standing: Standing) -> Adjuster:
    row, adjuster = standing.row, standing.adjuster
    moved = row is not None and row.kind == RowKind.CHANGE and row.oil_state
    return Adjuster(
        key=adjuster.pk,
        end=End(adjuster.end),
        function=AdjusterFunction(adjuster.function),
        lowest=adjuster.lowest,
        highest=adjuster.highest,
        position=standing.position,
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


def _tyres(standings: Sequence[Standing], tyres: list[Fitting], day: date) -> dict[End, Tyre]:
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
            set_state=_set_state(standings, end),
            new_model=(today and before[0].name != on.name) if before else None,
        )
    return found


def _set_state(standings: Sequence[Standing], end: End) -> TyreState:
    for standing in standings:
        place = (standing.adjuster.end, standing.adjuster.function)
        if place == (end.value, Function.TYRE_PRESSURE) and standing.row:
            return TyreState(standing.row.tyre_state or TyreState.COLD)
    return TyreState.COLD
