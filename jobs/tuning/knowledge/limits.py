"""The limits between the states of facts: when a push is very slow, a rise small ...

All are common practice, no source, unless one is named; a business can set its own.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from ..practice import PRACTICES, target, travel_key
from ..terms import End, TravelPlace

Band = tuple[float, float]


@dataclass(frozen=True)
class Limits:
    """Per business and run group. Times in s, lengths in mm, rises in psi.

    ``pace``: how fast the group rides (see ``RiderPace``); empty: nobody said.
    """

    pace: str = ""
    # A ring this near the end has been there: the last mm of a shaft are twice those of a wheel.
    end_margin_mm: Mapping[TravelPlace, float] = field(
        default_factory=lambda: {
            TravelPlace.FORK_LEG: 3.0,
            TravelPlace.SHOCK_SHAFT: 1.5,
            TravelPlace.WHEEL: 3.0,
        }
    )
    very_slow_s: float = 2.0
    small_rise_psi: Mapping[End, float] = field(
        default_factory=lambda: {End.FRONT: 2.0, End.REAR: 4.0}
    )
    large_rise_psi: float = 10.0
    # A fork under 15 mm apart is good; a linkage under 3 good, over 10 bad: no source.
    stiction_mm: Mapping[End, Band] = field(
        default_factory=lambda: {End.FRONT: (15.0, 15.0), End.REAR: (3.0, 10.0)}
    )
    few_laps: int = 3
    near_end_steps: int = 2
    like_pace_s: float = 1.0
    pace_trigger_s: float = 3.0
    track_c: float = 10.0
    own_bands: Mapping[str, Band] = field(default_factory=dict)

    def travel_band(self, end: End) -> Band:
        """The share of travel that is meant to be used, 0..1, at the pace of this group."""
        low, high = self._band(travel_key(end, self.pace))
        return low / 100, high / 100

    def sag_band(self, end: End) -> Band:
        return self._band(f"sag_{end.value}_rider")

    def free_sag_band(self, end: End) -> Band | None:
        key = f"sag_{end.value}_free"
        return self._band(key) if key in PRACTICES else None

    def heat_band(self, end: End) -> Band:
        """The surface of a tyre just off a dry track, at its hottest place, in °C."""
        return self._band(f"heat_{end.value}")

    def heat_apart_c(self, end: End) -> float:
        """The most that places across a tread may differ before it is said, in °C."""
        return self._band(f"heat_apart_{end.value}")[1]

    def passes_wanted(self, end: End) -> int:
        """The most passes over the rest height that are still as wanted, of a push there."""
        return int(self._band(f"passes_{end.value}")[1])

    def _band(self, key: str) -> Band:
        wanted = target(key, self.own_bands)
        return wanted.low, wanted.high
