"""From an aim for the ring to the change that should bring it there at the load of now."""

from collections.abc import Sequence
from dataclasses import dataclass

from ..argument_checks import checked
from ..refusal import Refused, number, positive, within
from ..terms import End
from ..words import _
from .end_spring import EndChange, EndSpring, preload_for_the_same_sag
from .shifts import STOP_MM, ring_shift, sag_shift_mm


@checked
@dataclass(frozen=True)
class Needed:
    """One way to the aim: what to change, where the ring comes, and what the sag does.

    ``part_n_per_mm``: the rate of the spring to fit (of a fork: of one leg), if it is a swap.
    """

    change: EndChange
    ring_moves_mm: float
    sag_moves_mm: float | None
    keeps_sag: bool = False
    part_n_per_mm: float | None = None


@checked
def needed(
    *,
    spring: EndSpring,
    ring_mm: float,
    aim_mm: float,
    usable_mm: float,
    sag_mm: float | None = None,
) -> tuple[Needed, ...]:
    """The ways to bring a ring from ``ring_mm`` to ``aim_mm``: preload, springs, both.

    By preload alone; by springs at the preload of now; by springs with the rider's sag kept
    (only where ``sag_mm`` is known). A way that cannot be (preload below zero, a coil that
    carries nothing) is left out. ``sag_mm`` is of the fork's leg, or of the rear wheel. The
    load is that of the ring: k' (x' + p') is what the coil must carry at the aim. Source: statics.

    >>> from jobs.tuning.outlook.end_spring import fork_spring
    >>> fork = fork_spring(pair_n_per_mm=19, preload_mm=15)
    >>> ways = needed(spring=fork, ring_mm=104, aim_mm=96, usable_mm=120, sag_mm=34)
    >>> [round(way.change.rate_n_per_mm, 2) for way in ways]
    [0.0, 1.74, 3.12]
    >>> [round(way.sag_moves_mm, 1) for way in ways]
    [-9.4, -3.8, 0.0]
    """
    usable = within(usable_mm, 15, 400, what=_("usable travel"), unit="mm")
    ring = within(ring_mm, 0, usable, what=_("ring"), unit="mm")
    aim = within(aim_mm, 1, usable, what=_("aim for the ring"), unit="mm")
    if ring > usable - STOP_MM[spring.end]:
        raise Refused(_("At the end of its travel the ring hides what is missing."))
    carried = spring.coil_n(spring.force_n(ring), aim)
    changes = [
        (EndChange(preload_mm=carried / spring.rate_n_per_mm - aim - spring.preload_mm), False),
        (
            EndChange(rate_n_per_mm=carried / (aim + spring.preload_mm) - spring.rate_n_per_mm),
            False,
        ),
    ]
    if sag_mm is not None:
        changes.append((_with_the_sag_kept(spring, carried, aim, sag_mm), True))
    ways = (_way(spring, change, ring, usable, sag_mm, kept) for change, kept in changes)
    return tuple(way for way in ways if way is not None)


@checked
def parts_for(
    *,
    spring: EndSpring,
    ring_mm: float,
    usable_mm: float,
    in_stock_n_per_mm: Sequence[float],
    sag_mm: float | None = None,
) -> tuple[Needed, ...]:
    """What each spring in stock would do, with the preload of now and with the rider's sag kept.

    Rates in stock are of one fork leg, or of a shock spring.

    >>> from jobs.tuning.outlook.end_spring import fork_spring
    >>> fork = fork_spring(pair_n_per_mm=19, preload_mm=15)
    >>> one, = parts_for(spring=fork, ring_mm=104, usable_mm=120, in_stock_n_per_mm=[10])
    >>> one.part_n_per_mm, round(one.ring_moves_mm, 1)
    (10, -4.7)
    """
    found: list[Needed] = []
    legs = 2 if spring.end == End.FRONT else 1
    for part in in_stock_n_per_mm:
        stiffer = legs * positive(part, _("spring in stock"), "N/mm") - spring.rate_n_per_mm
        changes = [(EndChange(rate_n_per_mm=stiffer), False)]
        if sag_mm is not None:
            changes.append((_swap_with_sag(spring, stiffer, sag_mm), True))
        for change, kept in changes:
            way = _way(spring, change, ring_mm, usable_mm, sag_mm, kept, part)
            if way is not None:
                found.append(way)
    return tuple(found)


@checked
@dataclass(frozen=True)
class PartForAim:
    """A spring in stock on the way to an aim: at the preload of now, and with the sag kept.

    ``misses_mm``: how far from the aim the ring comes at the preload of now.
    """

    n_per_mm: float
    preload_of_now: Needed
    sag_kept: Needed | None
    misses_mm: float


@checked
def nearest_parts(
    *, parts: Sequence[Needed], ring_mm: float, aim_mm: float, most: int = 2
) -> tuple[PartForAim, ...]:
    """Those of ``parts_for`` that bring the ring nearer to its aim, the nearest first.

    >>> from jobs.tuning.outlook.end_spring import fork_spring
    >>> fork = fork_spring(pair_n_per_mm=19, preload_mm=15)
    >>> parts = parts_for(spring=fork, ring_mm=104, usable_mm=120, in_stock_n_per_mm=[9, 10, 11])
    >>> [one.n_per_mm for one in nearest_parts(parts=parts, ring_mm=104, aim_mm=96)]
    [10, 11]
    """
    ring, aim = number(ring_mm, _("ring")), number(aim_mm, _("aim for the ring"))
    kept = {part.part_n_per_mm: part for part in parts if part.keeps_sag}
    found = [
        PartForAim(
            n_per_mm=part.part_n_per_mm,
            preload_of_now=part,
            sag_kept=kept.get(part.part_n_per_mm),
            misses_mm=ring + part.ring_moves_mm - aim,
        )
        for part in parts
        if part.part_n_per_mm is not None and not part.keeps_sag and part.change.rate_n_per_mm
    ]
    nearer = [one for one in found if abs(one.misses_mm) < abs(ring - aim)]
    return tuple(sorted(nearer, key=lambda one: abs(one.misses_mm))[:most])


def _with_the_sag_kept(spring: EndSpring, carried: float, aim: float, sag_mm: float) -> EndChange:
    """Two loads on one coil, at rest and at the aim: its rate and preload."""
    rest = _at_rest(spring, sag_mm)
    at_rest = spring.rate_n_per_mm * (rest + spring.preload_mm)
    if abs(aim - rest) < 1:
        raise Refused(_("The aim for the ring is where the bike stands with its rider."))
    rate = (carried - at_rest) / (aim - rest)
    if rate <= 0:
        return EndChange(preload_mm=-spring.preload_mm - 1)  # no such coil: left out
    return EndChange(
        preload_mm=at_rest / rate - rest - spring.preload_mm,
        rate_n_per_mm=rate - spring.rate_n_per_mm,
    )


def _swap_with_sag(spring: EndSpring, stiffer: float, sag_mm: float) -> EndChange:
    preload = preload_for_the_same_sag(
        spring=spring, rate_change_n_per_mm=stiffer, sag_at_mm=_at_rest(spring, sag_mm)
    )
    return EndChange(preload_mm=preload, rate_n_per_mm=stiffer)


def _at_rest(spring: EndSpring, sag_mm: float) -> float:
    """The sag on the leg, or on the shaft of the shock."""
    sag = within(sag_mm, 0, 200, what=_("sag"), unit="mm")
    return sag if spring.linkage is None else spring.linkage.stroke(sag)


def _way(
    spring: EndSpring,
    change: EndChange,
    ring: float,
    usable: float,
    sag_mm: float | None,
    kept: bool,
    part: float | None = None,
) -> Needed | None:
    try:
        shift = ring_shift(spring=spring, change=change, ring_mm=ring, usable_mm=usable)
        sag = None if sag_mm is None else sag_shift_mm(spring=spring, change=change, sag_mm=sag_mm)
    except Refused:
        return None
    return Needed(change, shift.mm, sag, kept, part)
