"""What changes of adjusters do to a ring: springs, preload and oil level told, damping a doubt."""

from collections.abc import Iterable
from decimal import Decimal

from jobs.garage.chassis import linkage_of
from jobs.garage.enums import End, Firming, Function, Leg, Unit
from jobs.garage.models import Adjuster, Bike
from jobs.tuning import Refused
from jobs.tuning.outlook import (
    EndChange,
    EndSpring,
    Shift,
    damping_shift,
    fork_spring,
    ring_shift,
    shock_spring,
)

from .change_sets import ChangeSet

DAMPING = (Function.REBOUND, Function.COMPRESSION, Function.COMPRESSION_HIGH)
# A ring cannot see how the bike stands.
GEOMETRY = (Function.TUBE_HEIGHT, Function.SHOCK_LENGTH, Function.STEERING_DAMPER)
FORK_LEGS = (Leg.LEFT, Leg.RIGHT)
Move = tuple[Adjuster, Decimal | None, Decimal | None]


def end_spring_of(bike: Bike, end: str, moves: Iterable[Move] = ()) -> EndSpring:
    """The spring of an end from the bike's figures; usual figures stand in for the rest.

    A move of the springs says what was fitted before it. An adjuster counts its preload from
    its own end, so the preload in mm is never known.
    """
    rates = {
        Leg.LEFT: bike.front_spring_left_n_per_mm,
        Leg.RIGHT: bike.front_spring_right_n_per_mm,
        Leg.BOTH: bike.rear_spring_n_per_mm,
    }
    for adjuster, start, _end in moves:
        if adjuster.function == Function.SPRING and start is not None:
            for leg in _legs_of(adjuster):
                rates[leg] = start
    if end == End.FRONT:
        known = [float(rate) for leg in FORK_LEGS if (rate := rates[leg]) is not None]
        return fork_spring(pair_n_per_mm=sum(known) if len(known) == len(FORK_LEGS) else None)
    try:
        curve = linkage_of(bike)
    except Refused:
        curve = None
    rate = rates[Leg.BOTH]
    return shock_spring(shock_n_per_mm=None if rate is None else float(rate), linkage=curve)


def usable_at_the_ring(bike: Bike, end: str) -> float | None:
    """What can be used where the ring of an end sits, mm."""
    usable = bike.front_usable_travel_mm if end == End.FRONT else bike.rear_shaft_stroke_mm
    return None if usable is None else float(usable)


def end_change_of(moves: Iterable[Move]) -> EndChange | None:
    """One change of springs, preload or oil level, both legs together; None: it is not told."""
    preload = oil = rate = 0.0
    for adjuster, start, end in moves:
        if start is None or end is None:
            return None
        firmer = float(end - start) * (1 if adjuster.firming == Firming.UP else -1)
        if adjuster.function == Function.PRELOAD:
            per_step = _mm_per_unit(adjuster)
            if per_step is None:
                return None
            preload += firmer * per_step * _share(adjuster)
        elif adjuster.function == Function.OIL_LEVEL and adjuster.unit == Unit.MM:
            oil += firmer * _share(adjuster)
        elif adjuster.function == Function.SPRING:
            rate += firmer * len(_legs_of(adjuster))
        else:
            return None
    return EndChange(preload_mm=preload, rate_n_per_mm=rate, oil_level_mm=oil)


def shift_of_change(change_set: ChangeSet, ring_mm: float | None) -> Shift | None:
    """The shift by a change in the book, of a ring that stood at ``ring_mm``; None: not told."""
    first, name = change_set.first, name_of(change_set)
    functions = {row.adjuster.function for row in change_set.rows}
    told = functions - set(DAMPING) - set(GEOMETRY)
    doubt = damping_shift(end=change_set.end, name=name)
    if not told:
        return doubt if functions & set(DAMPING) else Shift(0.0, 0.0, name)
    bike = first.adjuster.bike
    usable = usable_at_the_ring(bike, change_set.end)
    moves = [move for move in moves_of(change_set) if move[0].function in told]
    change = end_change_of(moves)
    if change is None or usable is None or ring_mm is None:
        return None
    try:
        spring = end_spring_of(bike, change_set.end, moves)
        shift = ring_shift(
            spring=spring, change=change, ring_mm=ring_mm, usable_mm=usable, name=name, sure=True
        )
    except Refused:
        return None
    sd = shift.sd_mm + (doubt.sd_mm if functions & set(DAMPING) else 0.0)
    return Shift(shift.mm, sd, name, shift.cautions)


def moves_of(change_set: ChangeSet) -> list[Move]:
    """Each adjuster of a change, from where to where."""
    return [(row.adjuster, row.from_position, row.to_position) for row in change_set.rows]


def name_of(change_set: ChangeSet) -> str:
    """The name of a change: that of its order, where it was ordered, so that it counts once."""
    first = change_set.first
    return str(first.order_id or first.linked or first.pk)


def _legs_of(adjuster: Adjuster) -> tuple[Leg, ...]:
    """The springs that one adjuster stands for: those of both fork legs, or one."""
    if adjuster.end == End.FRONT and adjuster.leg == Leg.BOTH:
        return FORK_LEGS
    return (Leg(adjuster.leg),)


def _share(adjuster: Adjuster) -> float:
    """The part of a pair that this leg is; a shock, or both legs in one, are the whole."""
    if adjuster.leg == Leg.BOTH:
        return 1.0
    left = adjuster.bike.front_spring_left_n_per_mm
    right = adjuster.bike.front_spring_right_n_per_mm
    if left is None or right is None:
        return 0.5
    own = left if adjuster.leg == Leg.LEFT else right
    return float(own / (left + right))


def preload_steps(adjuster: Adjuster, preload_mm: float) -> Decimal | None:
    """Millimetres of preload in an adjuster's unit, in whole steps; None: not known, or none."""
    per_unit = _mm_per_unit(adjuster)
    if not per_unit:
        return None
    sign = 1 if adjuster.firming == Firming.UP else -1
    steps = round(sign * preload_mm / per_unit / float(adjuster.step))
    return steps * adjuster.step or None


def _mm_per_unit(adjuster: Adjuster) -> float | None:
    """The mm of preload of one of an adjuster's units; None: not known."""
    if adjuster.unit == Unit.MM:
        return 1.0
    per_turn = getattr(adjuster.bike, f"{adjuster.end}_preload_mm_per_turn")
    return float(per_turn) if adjuster.unit == Unit.TURN and per_turn is not None else None
