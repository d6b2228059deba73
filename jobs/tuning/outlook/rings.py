"""The level of a rider's rings and their spread, learned from one reading after another.

A level that drifts, with a spread that is not known: the first-order polynomial model with the
variance learned (West and Harrison, Bayesian Forecasting and Dynamic Models, 2nd ed., sections
2.5 and 4.5; from memory). The next reading is Student's t. Lengths in mm, where the ring is read.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from ..argument_checks import checked
from ..distributions import t_quantile
from ..practice import target
from ..refusal import Refused, number, one_of, positive, within
from ..terms import TravelPlace
from ..words import _
from .shifts import Shift

CONFIDENCE = 0.90
NO_SHIFT = Shift(0.0, 0.0)


@checked
@dataclass(frozen=True)
class RingPrior:
    """What is believed of rings before any is read: spread, how sure of it, how it drifts.

    ``degrees``: as many readings as the spread is worth. ``drift``: the variance of the level
    from one outing to the next, as a share of the readings' variance.
    """

    spread_mm: float
    degrees: float
    drift: float

    def __post_init__(self) -> None:
        within(self.spread_mm, 0.05, 50, what=_("spread of rings"), unit="mm")
        positive(self.degrees, _("degrees of freedom"))
        within(self.drift, 0, 10, what=_("drift"))


# Simulated riders, no published source. Few degrees: the band of a quiet rider narrows, that of
# an erratic one widens, within a few outings.
_DEGREES = 7.0
_DRIFT = {TravelPlace.FORK_LEG: 0.15, TravelPlace.SHOCK_SHAFT: 0.08}
_SCATTER_KEY = {TravelPlace.FORK_LEG: "ring_front", TravelPlace.SHOCK_SHAFT: "ring_rear"}


@checked
def prior_of(*, place: str, own: Mapping[str, tuple[float, float]] | None = None) -> RingPrior:
    """The prior for rings read on the leg or the shaft, by ``own`` figures where there are any.

    The spread is the geometric middle of the scatter of quiet and of erratic riders
    (``practice.RING_SCATTER``). Refused for the wheel: no ring sits there.

    >>> round(prior_of(place="fork_leg").spread_mm, 2)
    2.22
    >>> prior_of(place="fork_leg", own={"ring_front": (2, 4.5)}).spread_mm
    3.0
    """
    at = one_of(place, TravelPlace, what=_("place"))
    if at not in _SCATTER_KEY:
        raise Refused(_("A ring sits on the fork's leg or on the shock's shaft."))
    band = target(_SCATTER_KEY[at], own)
    return RingPrior(math.sqrt(band.low * band.high), _DEGREES, _DRIFT[at])


PRIORS = {place: prior_of(place=place) for place in _SCATTER_KEY}


@checked
@dataclass(frozen=True)
class RingState:
    """What is known after some rings; ``level_mm`` None before the first one.

    ``level_variance`` is in units of the readings' variance, as ``drift`` is. ``counted``: the
    names of the changes whose shift is in the level already.
    """

    drift: float
    degrees: float
    variance_mm2: float
    level_mm: float | None = None
    level_variance: float = 0.0
    rings: int = 0
    counted: tuple[str, ...] = ()

    @property
    def spread_mm(self) -> float:
        return math.sqrt(self.variance_mm2)


@checked
@dataclass(frozen=True)
class Band:
    """Where the next ring should be read: ``middle_mm`` and half the width of the band.

    ``sd_mm`` and ``degrees`` are of Student's t that it comes from.
    """

    middle_mm: float
    half_mm: float
    sd_mm: float
    degrees: float
    confidence: float = CONFIDENCE

    @property
    def low_mm(self) -> float:
        return self.middle_mm - self.half_mm

    @property
    def high_mm(self) -> float:
        return self.middle_mm + self.half_mm

    def holds(self, used_mm: float) -> bool:
        return self.low_mm <= used_mm <= self.high_mm


@checked
def rings_begin(*, prior: RingPrior) -> RingState:
    """Before the first ring.

    >>> rings_begin(prior=PRIORS[TravelPlace.FORK_LEG]).rings
    0
    """
    return RingState(prior.drift, prior.degrees, prior.spread_mm**2)


@checked
def rings_restart(*, state: RingState) -> RingState:
    """Another venue, surface or tyre: the spread is kept, the level is not known.

    >>> seen = rings_seen(state=rings_begin(prior=PRIORS[TravelPlace.FORK_LEG]), used_mm=96)
    >>> rings_restart(state=seen).level_mm is None
    True
    """
    return replace(state, level_mm=None, level_variance=0.0, rings=0)


@checked
def level_shifted(*, state: RingState, shift: Shift) -> RingState:
    """The level after a change; a shift that is counted already changes nothing.

    >>> state = rings_seen(state=rings_begin(prior=PRIORS[TravelPlace.FORK_LEG]), used_mm=96)
    >>> once = level_shifted(state=state, shift=Shift(-5, 0.5, "springs"))
    >>> level_shifted(state=once, shift=Shift(-5, 0.5, "springs")).level_mm
    91.0
    """
    if shift.change and shift.change in state.counted:
        return state
    names = (*state.counted, shift.change) if shift.change else state.counted
    if state.level_mm is None:
        return replace(state, counted=names)
    return replace(
        state,
        level_mm=state.level_mm + shift.mm,
        level_variance=state.level_variance + shift.sd_mm**2 / state.variance_mm2,
        counted=names,
    )


@checked
def rings_seen(*, state: RingState, used_mm: float, shift: Shift = NO_SHIFT) -> RingState:
    """What is known after one more ring; ``shift`` is of the change made before it.

    The first ring sets the level and says nothing of the spread. Of n readings without drift
    the level is their mean and the variance is s^2.

    >>> state = rings_begin(prior=PRIORS[TravelPlace.FORK_LEG])
    >>> for used in (96, 99, 95):
    ...     state = rings_seen(state=state, used_mm=used)
    >>> round(state.level_mm, 1), round(state.spread_mm, 2), state.degrees
    (96.5, 2.18, 9.0)
    """
    used = within(used_mm, 0, 400, what=_("ring"), unit="mm")
    before = level_shifted(state=state, shift=shift)
    if before.level_mm is None:
        return replace(before, level_mm=used, level_variance=1.0, rings=1)
    wide = before.level_variance + before.drift
    error, ahead = used - before.level_mm, wide + 1
    degrees = before.degrees + 1
    surprise = error**2 / (ahead * before.variance_mm2)
    return replace(
        before,
        level_mm=before.level_mm + wide / ahead * error,
        level_variance=wide / ahead,
        degrees=degrees,
        variance_mm2=before.variance_mm2 * (1 + (surprise - 1) / degrees),
        rings=before.rings + 1,
    )


@checked
def rings_next(
    *, state: RingState, shift: Shift = NO_SHIFT, confidence: float = CONFIDENCE
) -> Band:
    """The band of the next ring, after a change if ``shift`` is given. Refused before any ring.

    Half of it is t sqrt(Q), Q = s^2 (C + W + 1) and the variance of the shift.

    >>> state = rings_seen(state=rings_begin(prior=PRIORS[TravelPlace.FORK_LEG]), used_mm=96)
    >>> band = rings_next(state=state)
    >>> band.middle_mm, round(band.half_mm, 1)
    (96.0, 6.2)
    """
    if state.level_mm is None:
        raise Refused(
            _(
                "No ring has been read of this rider here. A ring is not worked out from weights "
                "and figures: look at sag and geometry."
            )
        )
    after = level_shifted(state=state, shift=shift)
    sd = math.sqrt(after.variance_mm2 * (after.level_variance + after.drift + 1))
    t = t_quantile(probability=0.5 + confidence / 2, degrees=after.degrees)
    middle = number(after.level_mm, _("level"))
    return Band(middle, t * sd, sd, after.degrees, confidence)
