"""A bike on the bench for these tests, and short ways to say what was seen on it."""

from decimal import Decimal

from jobs.tuning.damping import PushClass
from jobs.tuning.knowledge import (
    Adjuster,
    Bike,
    Logged,
    Observed,
    PushTest,
    Sag,
    Travel,
    Tyre,
    counsel,
    shipped,
)
from jobs.tuning.terms import AdjusterFunction, End, Firming, Leg, OilState, TyreState

FRONT, REAR = End.FRONT, End.REAR
F = AdjusterFunction


def clicker(end, function, position=10, *, highest=20, leg=Leg.BOTH, **more):
    return Adjuster(
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


TYRE = Tyre({TyreState.COLD: (180.0, 230.0), TyreState.TRACK: (210.0, 250.0)})


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
    return Bike((*rest, *swapped), tyres, tuple(holds))


def push(end, seen, *, seconds=None, oil=OilState.HOT, this_turnaround=True):
    return PushTest(end, PushClass(seen), oil, this_turnaround, seconds)


def travel(end, percent):
    return Travel(end, used_mm=percent * 1.2, usable_mm=120.0)


def sag(end, rider_mm, **more):
    return Sag(end, rider_mm, **more)


def advise(code, end=None, *, on=None, past=None, **observed):
    codes = code if isinstance(code, list) else [(code, end)]
    return counsel(
        bike=on or bike(),
        observed=Observed(**observed),
        logged=[Logged(shipped().findings[c], e) for c, e in codes],
        past=past,
    )


def change(plan):
    """A plan's change in the shortest words: function, direction, from and to."""
    s = plan.suggestion
    if s is None or not s.moves:
        return None
    return (s.function.value, s.direction.value, int(s.moves[0].from_), int(s.moves[0].to))
