"""The limits behind the words: when a push is very slow, a rise small, travel short.

All are common practice, no source, unless one is named; a business sets its own.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from ..practice import PRACTICES, target
from ..terms import End

Band = tuple[float, float]


@dataclass(frozen=True)
class Limits:
    """Per business. Shares of usable travel 0..1, times in s, lengths in mm, rises in psi."""

    travel_low: float = 0.65
    travel_high: float = 0.85
    end_margin_mm: float = 3.0
    very_slow_s: float = 2.0
    small_rise_psi: Mapping[End, float] = field(
        default_factory=lambda: {End.FRONT: 2.0, End.REAR: 4.0}
    )
    large_rise_psi: float = 10.0
    # A fork under 15 mm apart is good; a linkage under 3 good, over 10 bad (LOU, RTK).
    stiction_mm: Mapping[End, Band] = field(
        default_factory=lambda: {End.FRONT: (15.0, 15.0), End.REAR: (3.0, 10.0)}
    )
    few_laps: int = 3
    near_end_steps: int = 2
    like_pace_s: float = 1.0
    pace_trigger_s: float = 3.0
    track_c: float = 10.0
    own_bands: Mapping[str, Band] = field(default_factory=dict)

    def sag_band(self, end: End) -> Band:
        return self._band(f"sag_{end.value}_rider")

    def free_sag_band(self, end: End) -> Band | None:
        key = f"sag_{end.value}_free"
        return self._band(key) if key in PRACTICES else None

    def _band(self, key: str) -> Band:
        wanted = target(key, self.own_bands)
        return wanted.low, wanted.high
