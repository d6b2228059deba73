"""The spring of one end, as far as a ring needs it: coil with air in a fork, coil behind a linkage.

Positions are where the ring is read: mm of fork leg, mm of the shock's shaft. A figure that
nobody knows is taken as a usual one and named in ``usual``; nothing is asked for that does not
matter (weights do not). The usual figures are of 600 to 1000 cm3 sports bikes, from memory.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from ..argument_checks import checked
from ..linkage import Linkage, quadratic
from ..load import AirSpring
from ..refusal import Refused, number, positive, within
from ..solve import root
from ..springs import ForkPair
from ..terms import End
from ..words import Words, _

USUAL_PAIR_N_PER_MM, USUAL_FORK_PRELOAD_MM = 19.0, 25.0
USUAL_AIR = AirSpring(area_mm2=1300, volume_cm3=292, exponent=1.2)
USUAL_SHOCK_N_PER_MM, USUAL_SHOCK_PRELOAD_MM = 95.0, 9.0
USUAL_LINKAGE = quadratic(at_full_extension=0.46, per_mm=0.00045)
MOST_PRELOAD_MM = 60.0


class Usual(StrEnum):
    """A figure that was taken as a usual one, because nobody knows it."""

    AIR = "air"
    RATE = "rate"
    PRELOAD = "preload"
    LINKAGE = "linkage"


USUAL_WORDS: dict[Usual, Words] = {
    Usual.AIR: _("The air in the fork is not known: usual air was taken."),
    Usual.RATE: _("The spring rate is not known: a usual one was taken."),
    Usual.PRELOAD: _("The preload in mm is not known: a usual one was taken."),
    Usual.LINKAGE: _("The linkage is not known: a usual curve was taken."),
}


@checked
@dataclass(frozen=True)
class EndChange:
    """What is changed at one end: preload and rate (of a fork: of the pair), oil level in mm.

    ``oil_level_mm`` above zero: the oil stands higher, so there is less air.
    """

    preload_mm: float = 0.0
    rate_n_per_mm: float = 0.0
    oil_level_mm: float = 0.0

    @property
    def nothing(self) -> bool:
        return self == EndChange()


@checked
@dataclass(frozen=True)
class EndSpring:
    """Coil rate and preload (of a fork: of the pair), with the air of a fork or a linkage.

    >>> fork = EndSpring(End.FRONT, 19, 20, air=AirSpring(1300, 286, 1.2))
    >>> round(fork.position_mm(fork.force_n(100)), 6)
    100.0
    """

    end: End
    rate_n_per_mm: float
    preload_mm: float
    air: AirSpring | None = None
    linkage: Linkage | None = None
    usual: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        positive(self.rate_n_per_mm, _("spring rate"), "N/mm")
        within(self.preload_mm, 0, MOST_PRELOAD_MM, what=_("preload"), unit="mm")

    def force_n(self, at_mm: float) -> float:
        """The load at a position: k (x + p) + air(x), or k (s + p) s'(z) at the wheel."""
        coil = self.rate_n_per_mm * (at_mm + self.preload_mm)
        if self.linkage is not None:
            return coil * self.linkage.ratio(self.wheel_mm(at_mm))
        return coil + (self.air.force_n(at_mm) if self.air else 0.0)

    def coil_n(self, force_n: float, at_mm: float) -> float:
        """The part of the load that the coil carries at a position."""
        if self.linkage is not None:
            return force_n / self.linkage.ratio(self.wheel_mm(at_mm))
        return force_n - (self.air.force_n(at_mm) if self.air else 0.0)

    def position_mm(self, force_n: float) -> float:
        """The position at which the spring carries a load; 0 where the end is topped out."""
        if self.linkage is not None:
            return self.linkage.stroke(self._wheel_at(force_n, self.linkage))
        straight = force_n / self.rate_n_per_mm - self.preload_mm
        if straight <= 0 or self.air is None:
            return max(0.0, straight)
        furthest = min(straight, self.air.most_travel_mm)
        return root(lambda x: self.force_n(x) - force_n, 0.0, furthest)

    def wheel_mm(self, at_mm: float) -> float:
        """The wheel's travel where the shaft of the shock stands at ``at_mm``."""
        curve = self.linkage
        if curve is None:
            return at_mm
        if not 0 <= at_mm <= curve.stroke(curve.known_to_mm):
            raise Refused(
                _("The linkage is not known at {mm:g} mm of the shock's shaft.", mm=at_mm)
            )
        return root(lambda z: curve.stroke(z) - at_mm, 0.0, curve.known_to_mm)

    def changed(self, change: EndChange) -> "EndSpring":
        """This spring with a change. Refused: preload below zero, no air left, oil in a shock."""
        air = self.air
        if change.oil_level_mm and air is None:
            raise Refused(_("An oil level counts only where the air of a fork does."))
        if change.oil_level_mm and air is not None:
            taken = air.area_mm2 * change.oil_level_mm / 1000
            air = replace(air, volume_cm3=air.volume_cm3 - taken)
        return replace(
            self,
            rate_n_per_mm=self.rate_n_per_mm + change.rate_n_per_mm,
            preload_mm=self.preload_mm + change.preload_mm,
            air=air,
        )

    def _wheel_at(self, force_n: float, curve: Linkage) -> float:
        def surplus(z: float) -> float:
            coil = self.rate_n_per_mm * (curve.stroke(z) + self.preload_mm)
            return coil * curve.ratio(z) - force_n

        return 0.0 if surplus(0.0) >= 0 else root(surplus, 0.0, curve.known_to_mm)


@checked
def fork_spring(
    *,
    pair_n_per_mm: float | None = None,
    preload_mm: float | None = None,
    air: AirSpring | None = None,
) -> EndSpring:
    """The fork from what is known of it; usual figures stand in for the rest.

    >>> [str(figure) for figure in fork_spring(pair_n_per_mm=19).usual]
    ['preload', 'air']
    """
    usual = _missing({Usual.RATE: pair_n_per_mm, Usual.PRELOAD: preload_mm, Usual.AIR: air})
    return EndSpring(
        End.FRONT,
        USUAL_PAIR_N_PER_MM if pair_n_per_mm is None else pair_n_per_mm,
        USUAL_FORK_PRELOAD_MM if preload_mm is None else preload_mm,
        air=air or USUAL_AIR,
        usual=usual,
    )


@checked
def shock_spring(
    *,
    shock_n_per_mm: float | None = None,
    preload_mm: float | None = None,
    linkage: Linkage | None = None,
) -> EndSpring:
    """The shock from what is known of it; usual figures stand in for the rest.

    >>> [str(figure) for figure in shock_spring(shock_n_per_mm=95, preload_mm=10).usual]
    ['linkage']
    """
    figures = {Usual.RATE: shock_n_per_mm, Usual.PRELOAD: preload_mm, Usual.LINKAGE: linkage}
    return EndSpring(
        End.REAR,
        USUAL_SHOCK_N_PER_MM if shock_n_per_mm is None else shock_n_per_mm,
        USUAL_SHOCK_PRELOAD_MM if preload_mm is None else preload_mm,
        linkage=linkage or USUAL_LINKAGE,
        usual=_missing(figures),
    )


@checked
def fork_change(*, before: ForkPair, after: ForkPair, oil_level_mm: float = 0.0) -> EndChange:
    """The change of both legs as that of the pair: one leg's counts by its share of the rate.

    >>> one_leg = fork_change(before=ForkPair(9.5, 9.5), after=ForkPair(9.5, 9.5, 2, 0))
    >>> one_leg.preload_mm
    1.0
    """
    return EndChange(
        preload_mm=after.preload_mm - before.preload_mm,
        rate_n_per_mm=after.rate_n_per_mm - before.rate_n_per_mm,
        oil_level_mm=number(oil_level_mm, _("oil level")),
    )


@checked
def preload_for_the_same_sag(
    *, spring: EndSpring, rate_change_n_per_mm: float, sag_at_mm: float
) -> float:
    """The change of preload in mm that keeps the sag with another coil.

    ``sag_at_mm``: where the end stands with its rider, on the leg or the shaft. The coil
    carries the same there: k' (x + p') = k (x + p). Source: statics.

    >>> fork = fork_spring(pair_n_per_mm=19, preload_mm=25)
    >>> round(preload_for_the_same_sag(spring=fork, rate_change_n_per_mm=2, sag_at_mm=34), 2)
    -5.62
    """
    at = number(sag_at_mm, _("sag"))
    stiffer = positive(spring.rate_n_per_mm + rate_change_n_per_mm, _("spring rate"), "N/mm")
    return spring.rate_n_per_mm * (at + spring.preload_mm) / stiffer - at - spring.preload_mm


def _missing(figures: Mapping[Usual, object]) -> tuple[str, ...]:
    return tuple(name for name, figure in figures.items() if figure is None)
