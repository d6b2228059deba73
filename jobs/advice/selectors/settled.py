"""Whether a bike is settled, and whether something has reopened it."""

from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from jobs.garage.enums import FittingKind
from jobs.garage.models import Bike
from jobs.setups import sentences
from jobs.setups.enums import RowKind, RowState
from jobs.setups.models import Adjustment
from jobs.trackday.models import Entry
from jobs.tuning.knowledge import (
    CurrentState,
    ReopenReason,
    SettledReference,
    SettledResult,
    reopened,
    settled,
    track_line,
)
from jobs.worklist.models import Hold

from ..models import Settlement
from . import observations
from .advice_basis import AdviceBasis
from .outings import outings_of

OTHER_PARTS = (FittingKind.SPRING, FittingKind.OIL, FittingKind.GEARING, FittingKind.LINKAGE)


@dataclass(frozen=True)
class SettledState:
    """``now``: what the rule says today; ``settlement``: as kept; ``reopened``: what ended it."""

    now: SettledResult
    settlement: Settlement | None = None
    reopened: tuple[ReopenReason, ...] = ()
    track_line: str = ""

    @property
    def stands(self) -> bool:
        return self.settlement is not None and not self.reopened


def settlement_of(bike: Bike) -> Settlement | None:
    return (
        Settlement.objects.filter(bike=bike, withdrawn_at=None)
        .select_related("kept", "rider", "entry__trackday__venue", "session")
        .order_by("-accepted_at")
        .first()
    )


def settled_state_of(basis: AdviceBasis) -> SettledState:
    """By the rule of the method: two outings, clean, no complaint, like pace. Four queries."""
    outings = outings_of(
        basis.entry, basis.readings, basis.findings, basis.conditions, basis.catalogue
    )
    now = settled(list(outings.values()), basis.limits)
    settlement = basis.settlement
    if settlement is None:
        return SettledState(now)
    weather = basis.conditions[-1] if basis.conditions else None
    here = float(weather.track_c) if weather and weather.track_c is not None else None
    there = float(settlement.track_c) if settlement.track_c is not None else None
    return SettledState(
        now,
        settlement,
        reopened(_reference(settlement), _now(basis, settlement), basis.limits),
        track_line(there, here, basis.limits),
    )


def _reference(row: Settlement) -> SettledReference:
    entry = row.entry
    return SettledReference(
        pace=observations.pace_of(row.laps),
        wet=row.wet,
        track_c=None if row.track_c is None else float(row.track_c),
        rider=row.rider.name,
        weight_kg=None if row.weight_kg is None else float(row.weight_kg),
        layout=str(entry.trackday.venue_id) if entry else "",
    )


def _now(basis: AdviceBasis, settlement: Settlement) -> CurrentState:
    entry, weather = basis.entry, basis.conditions[-1] if basis.conditions else None
    since = settlement.done_at
    fitted = [f for f in basis.tyres if f.fitted_at > since]
    tyre = next((f.name for f in fitted if f.kind == FittingKind.TYRE), "")
    finished = any(row.code == "T12" and row.done_at > since for row in basis.findings)
    weight = entry.rider.weight_in_kit_kg
    return CurrentState(
        pace=observations.pace_of(observations.laps_of(basis.session_readings)),
        word=observations.word_of(basis.session_findings, basis.catalogue),
        wet=weather.wet if weather else settlement.wet,
        rider=entry.rider.name,
        weight_kg=None if weight is None else float(weight),
        layout=str(entry.trackday.venue_id),
        tyre=tyre or (_("tyre at the end of its life") if finished else ""),
        crash=_crash(entry, since),
        parts=", ".join(f.name for f in fitted if f.kind in OTHER_PARTS),
        other_hand=_other_hand(entry, since),
    )


def _crash(entry: Entry, since: datetime) -> str:
    """A bike held for a crash at its safety check, released or not."""
    held = Hold.objects.filter(bike=entry.bike_id, point="crash", raised_at__gt=since).first()
    return held.words if held else ""


def _other_hand(entry: Entry, since: datetime) -> str:
    """An adjuster that was found elsewhere than the setup book says: somebody else moved it."""
    row = (
        Adjustment.objects.filter(
            adjuster__bike=entry.bike_id,
            kind=RowKind.RECOUNT,
            state=RowState.PLACED,
            done_at__gt=since,
        )
        .exclude(from_position=None)
        .select_related("adjuster")
        .order_by("-seq")
        .first()
    )
    if row is None or row.from_position == row.to_position:
        return ""
    return sentences.adjustment(row)
