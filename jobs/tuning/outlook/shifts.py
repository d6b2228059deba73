"""How far a change of spring, preload or oil level moves the ring, and the sag.

The ring is where the peak load pushed it. Rider, venue, braking, damping and friction are all in
that load; it is given no other name and is never split. The same load on the changed spring is
where the ring should come: F'(x') = F(x).
"""

from dataclasses import dataclass, replace

from ..argument_checks import checked
from ..refusal import AskAgain, number, within
from ..terms import End
from ..words import _
from .end_spring import USUAL_WORDS, EndChange, EndSpring, Usual

# The bump stop, on the leg and on the shaft. Front: simulated; shaft: common practice, no source.
STOP_MM = {End.FRONT: 12.0, End.REAR: 5.0}
# How far the shift itself may be wrong, as a share of it (simulated; no published source).
DOUBT, DOUBT_OIL_IN_USUAL_AIR, DOUBT_USUAL_SHOCK, DOUBT_IN_THE_STOP = 0.10, 0.20, 0.15, 0.35
# In the stop the ring moves less than the spring alone would let it (simulated).
SHARE_IN_THE_STOP = 0.7
# Damping moves a ring by an amount that cannot be told; this much doubt is left by it (simulated).
DAMPING_DOUBT_MM = {End.FRONT: 1.0, End.REAR: 0.3}


@checked
@dataclass(frozen=True)
class Shift:
    """How far the ring should move, mm: above zero nearer to the end of its travel.

    ``change`` names the change it comes from: an order and the change that carries it out have
    one name, so that it is counted once.
    """

    mm: float
    sd_mm: float
    change: str = ""
    cautions: tuple[str, ...] = ()


@checked
def ring_shift(
    *,
    spring: EndSpring,
    change: EndChange,
    ring_mm: float,
    usable_mm: float,
    name: str = "",
    sure: bool = False,
) -> Shift:
    """The shift of a ring that stands at ``ring_mm`` of ``usable_mm``, on the leg or the shaft.

    A root of F'(x') = F(x), with 10 % of the shift as its standard deviation, more where usual
    figures were taken. At the end of its travel the ring hides what is missing, so that must be
    confirmed (:class:`AskAgain`, then ``sure``). For a small step of preload p
    dx/dp = -k / (k + k_air). Source: statics; the shares of doubt are simulated.

    >>> from jobs.tuning.load import AirSpring
    >>> fork = EndSpring(End.FRONT, 19, 20, air=AirSpring(1300, 286, 1.2))
    >>> turn = ring_shift(spring=fork, change=EndChange(preload_mm=1), ring_mm=100, usable_mm=120)
    >>> round(turn.mm, 2)
    -0.78
    """
    usable = within(usable_mm, 15, 400, what=_("usable travel"), unit="mm")
    ring = within(ring_mm, 0, usable + 20, what=_("ring"), unit="mm")
    stopped = ring > usable - STOP_MM[spring.end]
    if stopped and not sure and not change.nothing:
        raise AskAgain(
            _(
                "The ring stands at {ring:.0f} of {usable:g} mm, at the end of its travel: the "
                "ring hides what is missing.",
                ring=ring,
                usable=usable,
            )
        )
    after = spring.changed(change)
    moved = after.position_mm(spring.force_n(ring)) - ring
    cautions = list(_cautions(spring, change))
    if stopped:
        moved *= SHARE_IN_THE_STOP
        cautions.append(_("At the end of its travel: the ring hides what is missing."))
    elif ring + moved > usable:
        moved = usable - ring
        cautions.append(_("The end of the travel would be reached: the ring cannot show more."))
    doubt = DOUBT_IN_THE_STOP if stopped else _doubt(spring, change)
    return Shift(moved, abs(moved) * doubt, name, tuple(cautions))


@checked
def damping_shift(*, end: str, name: str = "") -> Shift:
    """A change of damping: no shift is told, but the level is less sure afterwards.

    >>> damping_shift(end="front").sd_mm
    1.0
    """
    words = _("What damping does to the ring cannot be told.")
    return Shift(0.0, DAMPING_DOUBT_MM[End(end)], name, (words,))


@checked
def sag_shift_mm(*, spring: EndSpring, change: EndChange, sag_mm: float) -> float:
    """The change of a sag: of the fork's leg along it, of the rear wheel vertically, mm.

    ``sag_mm`` is the sag now, read in the same place. The same equation as the ring's, with
    the load at rest, where the air of a fork has the temperature of its surroundings
    (exponent 1). Source: statics.

    >>> from jobs.tuning.outlook.end_spring import fork_spring
    >>> fork = fork_spring(pair_n_per_mm=19, preload_mm=25)
    >>> round(sag_shift_mm(spring=fork, change=EndChange(preload_mm=3), sag_mm=34), 2)
    -2.77
    """
    sag = within(sag_mm, 0, 200, what=_("sag"), unit="mm")
    still = replace(spring, air=replace(spring.air, exponent=1.0)) if spring.air else spring
    at = sag if still.linkage is None else still.linkage.stroke(sag)
    after = still.changed(change)
    moved = after.position_mm(still.force_n(at))
    return number(after.wheel_mm(moved) - sag, _("sag"))


def _doubt(spring: EndSpring, change: EndChange) -> float:
    if change.oil_level_mm and Usual.AIR in spring.usual:
        return DOUBT_OIL_IN_USUAL_AIR
    if spring.end == End.REAR and (
        _one_ratio(spring) or (change.rate_n_per_mm and Usual.RATE in spring.usual)
    ):
        return DOUBT_USUAL_SHOCK
    return DOUBT


def _one_ratio(spring: EndSpring) -> bool:
    return spring.linkage is not None and not spring.linkage.progressive


def _cautions(spring: EndSpring, change: EndChange) -> tuple[str, ...]:
    """What was taken as usual, as far as it matters to this change."""
    if change.nothing:
        return ()
    taken = tuple(USUAL_WORDS[Usual(name)] for name in spring.usual)
    if not _one_ratio(spring):
        return taken
    return (
        *taken,
        _("Only one motion ratio is known, no curve: the shift comes out 10 to 14 % too large."),
    )
