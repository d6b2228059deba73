"""Scales: from a quantity to a position in the drawing, and round figures for an axis."""

import math
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Linear:
    """Maps ``low..high`` of a quantity onto ``start..end`` of the drawing."""

    low: float
    high: float
    start: float
    end: float

    def __post_init__(self) -> None:
        if not self.high > self.low:
            raise ValueError(f"a scale needs low < high, not {self.low} and {self.high}")

    def __call__(self, value: float) -> float:
        share = (float(value) - self.low) / (self.high - self.low)
        return self.start + share * (self.end - self.start)

    def clamped(self, value: float) -> float:
        """The same, but never outside the drawing."""
        return self(min(max(float(value), self.low), self.high))


def nice_step(span: float, about: int) -> float:
    """The round step (1, 2 or 5 times a power of ten) that divides ``span`` about so often.

    Heckbert, Nice Numbers for Graph Labels, Graphics Gems (1990), from memory.
    """
    if span <= 0 or about < 1:
        raise ValueError("a span above 0 and at least one step are needed")
    rough = span / about
    power = 10.0 ** math.floor(math.log10(rough))
    for factor in (1.0, 2.0, 5.0):
        if rough <= factor * power * 1.0000001:
            return factor * power
    return 10.0 * power


def round_ticks(low: float, high: float, about: int = 4) -> list[float]:
    """Round figures inside ``low..high``, both ends included where they are round."""
    step = nice_step(high - low, about)
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [round(index * step, 10) for index in range(first, last + 1)]


def padded(
    values: Iterable[float], *, least: float = 1.0, share: float = 0.08
) -> tuple[float, float]:
    """The domain of all values with a small margin; at least ``least`` wide."""
    known = [float(value) for value in values]
    if not known:
        raise ValueError("nothing to draw")
    low, high = min(known), max(known)
    margin = max((high - low) * share, (least - (high - low)) / 2)
    return low - margin, high + margin
