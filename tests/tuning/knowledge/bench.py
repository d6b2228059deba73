"""A bike for these tests, and short functions for what was seen on it."""

from decimal import Decimal

from jobs.tuning.damping import PushClass
from jobs.tuning.knowledge import (
    AdjusterState,
    BikeSetup,
    FittedTyre,
    LoggedFinding,
    Observations,
    PushTest,
    SagReading,
    TravelReading,
    advise,
    shipped,
)
from jobs.tuning.terms import AdjusterFunction, End, Firming, Leg, OilState, TyreState

FRONT, REAR = End.FRONT, End.REAR
F = AdjusterFunction


def clicker(end, function, position=10, *, highest=20, leg=Leg.BOTH, **more):
    return AdjusterState(
        key=(end, function, leg),
        end=end,
        function=function,
        leg=leg,
        lowest=Decimal(0),
        highest=Decimal(highest),
        position=None if position is None else Decimal(position),
        **more,
    )


def turner(end, position=5, **more):
    return clicker(
        end, F.PRELOAD, position, highest=12, unit="turn", step=Decimal("0.5"),
        firming=Firming.UP, **more,
    )  # fmt: skip


def pressure(end, psi=30, **more):
    return clicker(
        end, F.TYRE_PRESSURE, psi, highest=50, unit="psi", step=Decimal("0.5"),
        firming=Firming.UP, **more,
    )  # fmt: skip


def tubes(position=5):
    return clicker(FRONT, F.TUBE_HEIGHT, position, highest=15, unit="mm", firming=Firming.UP)


TYRE = FittedTyre({TyreState.COLD: (180.0, 230.0), TyreState.TRACK: (210.0, 250.0)})


def bike(*swapped, holds=(), tyres=None):
    """A usual bike; each adjuster given takes the place of its own kind and end."""
    usual = [
        clicker(FRONT, F.REBOUND),
        clicker(FRONT, F.COMPRESSION),
        turner(FRONT),
        tubes(),
        pressure(FRONT),
        clicker(REAR, F.REBOUND),
        clicker(REAR, F.COMPRESSION),
        turner(REAR),
        pressure(REAR),
    ]
    taken = {(a.end, a.function) for a in swapped}
    rest = [a for a in usual if (a.end, a.function) not in taken]
    tyres = {FRONT: TYRE, REAR: TYRE} if tyres is None else tyres
    return BikeSetup((*rest, *swapped), tyres, tuple(holds))


def push(end, seen, *, seconds=None, oil=OilState.HOT, this_turnaround=True):
    return PushTest(end, PushClass(seen), oil, this_turnaround, seconds)


def travel(end, percent):
    return TravelReading(end, used_mm=percent * 1.2, usable_mm=120.0)


def sag(end, rider_mm, **more):
    return SagReading(end, rider_mm, **more)


def advice_on(code, end=None, *, on=None, past=None, **observed):
    codes = code if isinstance(code, list) else [(code, end)]
    return advise(
        bike=on or bike(),
        observed=Observations(**observed),
        logged=[LoggedFinding(shipped().findings[c], e) for c, e in codes],
        past=past,
    )


def change(plan):
    """A plan's change in the shortest words: function, direction, from and to."""
    s = plan.suggestion
    if s is None or not s.moves:
        return None
    return (s.function.value, s.direction.value, int(s.moves[0].from_), int(s.moves[0].to))
