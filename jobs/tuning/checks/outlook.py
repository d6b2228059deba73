"""Checks of the outlook: the ring's shift, the air of a fork, the band of the next reading."""

import math

from .. import linkage, load
from ..outlook import (
    EndChange,
    EndSpring,
    RingPrior,
    ring_shift,
    rings_begin,
    rings_next,
    rings_seen,
)
from ..terms import End
from .table import Check, ValueSource

_CLOSED = "root of F'(x') = F(x), scipy brentq in the tests"
_GAS = "2 n p A^2 / V, differences of high order in the tests"
_MONTGOMERY = "Montgomery & Runger, Applied Statistics and Probability for Engineers, ex. 8-73"
_AIR = load.AirSpring(area_mm2=1300, volume_cm3=286, exponent=1.2)
_FORK = EndSpring(End.FRONT, 19, 20, air=_AIR)
_SHOCK = EndSpring(
    End.REAR, 95, 10, linkage=linkage.quadratic(at_full_extension=0.46, per_mm=0.0004)
)
_STEP = 0.01
# Sixteen readings with the mean and the standard deviation of the exercise, in thousands.
_COUNT, _MEAN, _SD = 16, 60.1397, 3.64594


def _per_mm(spring: EndSpring, at_mm: float) -> float:
    step = EndChange(preload_mm=_STEP)
    return ring_shift(spring=spring, change=step, ring_mm=at_mm, usable_mm=200).mm / _STEP


def _air_at_rest() -> float:
    air = load.AirSpring(area_mm2=1300, volume_cm3=286, exponent=1.4)
    return air.force_n(1e-4) / 1e-4


def _next_of_sixteen(confidence: float = 0.95) -> tuple[float, float]:
    """Without drift, and with no belief about the spread, the band is the textbook's interval."""
    state = rings_begin(prior=RingPrior(spread_mm=1, degrees=1e-9, drift=0))
    apart = _SD * math.sqrt((_COUNT - 1) / _COUNT)
    for number in range(_COUNT):
        state = rings_seen(state=state, used_mm=_MEAN + (apart if number % 2 else -apart))
    band = rings_next(state=state, confidence=confidence)
    return 1000 * band.low_mm, 1000 * band.high_mm


S, R = ValueSource.PRINTED, ValueSource.COMPUTED
CHECKS = (
    Check("k1", "outlook", "ring per mm of fork preload, at 100 mm", _CLOSED, R,
          lambda: _per_mm(_FORK, 100), -0.7770, 1e-4),
    Check("k2", "outlook", "ring per mm of shock preload, at 28 mm", _CLOSED, R,
          lambda: _per_mm(_SHOCK, 28), -0.8940, 1e-4),
    Check("k3", "outlook", "air of both legs at rest, N/mm", _GAS, R, _air_at_rest, 1.6765, 1e-4),
    # The exercise rounds t to 2.131; ours is 2.13145.
    Check("k4", "outlook", "next of 16 readings, from", _MONTGOMERY, S,
          lambda: _next_of_sixteen()[0], 52131.08, 2),
    Check("k4", "outlook", "next of 16 readings, to", _MONTGOMERY, S,
          lambda: _next_of_sixteen()[1], 68148.31, 2),
)  # fmt: skip
